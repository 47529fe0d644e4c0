"""The bench on the page: a controller at a link is looked at, driven after a typed sentence, and kept."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.app.given.consent import CONFIRM
from steadfall.app.page.following import Following
from steadfall.app.page.sessions import key_place, link_place, report, session_folder, sessions
from steadfall.bench.session.journal import CYCLES, HEAD
from steadfall.source import AskError
from steadfall.web.benched import Bench, Comes, held, kept
from steadfall.web.session import Session
from steadfall.web.tasks import rehearsed
from steadfall.web.view.parts.at_link import LINK
from tests.bench.link.guarded import SECRET, USER, guarded
from tests.bench.made import plan_of, served, wires_of
from tests.web.hand import finished, refused, renewed, turn

LINK_FILE = "address: {address}\nsignals:\n{signals}"


@pytest.fixture(scope="module")
def links() -> Iterator[dict[str, str]]:
    """The link files to a small controller that serves, by protocol."""
    plan = plan_of("small")
    wires = wires_of(plan)
    nodes = "".join(f'  {wire.signal}: {{opcua: "{wire.node}"}}\n' for wire in wires)
    registers = "".join(f"  {wire.signal}: {{modbus: {wire.register}}}\n" for wire in wires)
    with served(plan, wires) as (opcua, modbus):
        yield {
            "opcua": LINK_FILE.format(address=opcua, signals=nodes),
            "modbus": LINK_FILE.format(address=modbus, signals=registers),
        }


@pytest.fixture
def modbus(links: dict[str, str]) -> str:
    """That over Modbus."""
    return links["modbus"]


def field(user: User, like: str) -> ui.element:
    return next(one for one in user.find(kind=ui.element).elements if one.props.get("placeholder") == like)


def labelled(user: User, label: str, tag: str = "input") -> ui.element:
    """The control beside a label."""
    beside = next(iter(user.find(label).elements)).parent_slot
    assert beside is not None
    return next(one for one in beside.parent.descendants() if one.tag == tag)


@pytest.mark.asyncio
async def test_a_controller_is_looked_at_then_driven_and_its_evidence_opened(
    user: User, session: Session, modbus: str
) -> None:
    (session.folder / "link.yaml").write_text(modbus, encoding="utf-8")
    await user.open("/bench")
    turn(field(user, LINK), "link.yaml")
    user.find("Drive it").click()
    await user.should_see("type the sentence first")
    turn(labelled(user, f"To drive it, type: {CONFIRM}"), CONFIRM)
    user.find("Drive it").click()
    await user.should_see("look at this controller first")
    user.find("Look at it").click()
    await finished(session.looking)
    await user.should_see("All values as they were read")
    user.find("Drive it").click()
    await user.should_see("confirm first that the number is the one in the controller")
    assert not (session.folder / "sessions").exists()  # nothing was held yet, and nothing written
    turn(labelled(user, "I have seen in the controller"), True)
    turn(labelled(user, "How long, without a case", "select"), "2")
    user.find("Drive it").click()
    await finished(session.bench)
    shown = session.bench.shown
    assert shown is not None
    assert json.loads(shown.twin)["session"]["drive"] is True
    (one,) = sessions(session.folder)
    assert one.scenario == json.loads(shown.twin)["session"]["scenario"]
    session.bench.shown = None
    user.find("Open its report").click()
    await finished(session.bench)
    assert session.bench.shown is not None
    assert "A session of the bench" in session.bench.shown.paper


@pytest.mark.asyncio
async def test_over_opc_ua_no_number_can_be_misread_and_none_is_confirmed(
    user: User, session: Session, links: dict[str, str]
) -> None:
    (session.folder / "link.yaml").write_text(links["opcua"], encoding="utf-8")
    await user.open("/bench")
    turn(field(user, LINK), "link.yaml")
    user.find("Look at it").click()
    await finished(session.looking)
    await user.should_see("All values as they were read")
    await user.should_not_see("I have seen in the controller")
    turn(labelled(user, f"To drive it, type: {CONFIRM}"), CONFIRM)
    turn(labelled(user, "How long, without a case", "select"), "2")
    user.find("Drive it").click()
    await finished(session.bench)
    shown = session.bench.shown
    assert shown is not None
    told = json.loads(shown.twin)["session"]
    assert told["drive"] is True
    assert told["link"].startswith("opc.tcp://127.0.0.1:")


@pytest.mark.asyncio
async def test_nothing_is_driven_on_a_sentence_that_another_tab_did_not_type(
    session: Session, modbus: str
) -> None:
    link = session.folder / "link.yaml"
    link.write_text(modbus, encoding="utf-8")
    desk = session.at_desk()
    asked = Bench(str(link), "", 1.0, session.folder / "sessions" / "it", drive=True)
    await session.bench.run(held, desk.text, desk.path.name, asked)
    assert CONFIRM in session.bench.failed
    assert not asked.out.exists()


@pytest.mark.asyncio
async def test_a_case_in_which_power_is_switched_is_refused_before_it_begins(session: Session) -> None:
    desk, out = session.at_desk(), session.folder / "sessions" / "it"
    asked = Bench("opc.tcp://127.0.0.1:9/", "power", 1.0, out, drive=True, confirmed=CONFIRM)
    await session.bench.run(held, desk.text, desk.path.name, asked)
    assert "hold it from a terminal" in session.bench.failed
    assert not out.exists()


@pytest.mark.asyncio
async def test_a_session_that_was_stopped_before_it_was_judged_is_judged_as_it_is_opened(
    session: Session,
) -> None:
    desk, out = session.at_desk(), session.folder / "sessions" / "it"
    await session.bench.run(rehearsed, desk.text, desk.path.name, "", out)
    for path in out.iterdir():
        if path.name not in {CYCLES, HEAD, "plan.yaml"}:
            path.unlink()
    [one] = sessions(session.folder)
    assert one.said == "it was cut off"
    await session.bench.run(kept, desk.text, desk.path.name, out)
    assert session.bench.failed == ""
    [one] = sessions(session.folder)
    assert one.said == "pass"


@pytest.mark.asyncio
async def test_a_password_that_was_typed_is_kept_nowhere(
    user: User, session: Session, modbus: str, caplog: pytest.LogCaptureFixture
) -> None:
    (session.folder / "link.yaml").write_text(modbus, encoding="utf-8")
    await user.open("/bench")
    turn(field(user, LINK), "link.yaml")
    typed = labelled(user, "Password")
    assert typed.props["type"] == "password"
    turn(typed, SECRET)
    turn(labelled(user, "User"), "bench")
    turn(labelled(user, "How long, without a case", "select"), "1")
    user.find("Listen").click()
    await finished(session.bench)
    shown = session.bench.shown
    assert shown is not None
    assert SECRET not in shown.paper + shown.twin + caplog.text
    texts = [path.read_bytes() for path in session.folder.rglob("*") if path.is_file()]
    assert len(texts) > 4
    assert not any(SECRET.encode() in one for one in texts)
    assert SECRET not in repr(Comes("bench", SECRET))


@pytest.fixture
def asking(session: Session) -> Iterator[str]:
    """The link file to a controller that asks who comes; keys of both lie beside the plan."""
    wires = wires_of(plan_of("small"))
    nodes = "".join(f'  {wire.signal}: {{opcua: "{wire.node}"}}\n' for wire in wires)
    with guarded(session.folder, wires) as address:
        yield LINK_FILE.format(address=address, signals=nodes)


@pytest.mark.asyncio
async def test_with_keys_beside_the_plan_one_comes_in_where_a_controller_asks_who_it_is(
    asking: str, user: User, session: Session
) -> None:
    (session.folder / "link.yaml").write_text(asking, encoding="utf-8")
    await user.open("/bench")
    turn(field(user, LINK), "link.yaml")
    user.find("Look at it").click()
    assert "endpoint" in await refused(session.looking)  # nobody has said who comes
    await user.should_not_see("All values as they were read")
    for label, typed in {"User": USER, "Password": SECRET, "Own certificate": "bench.der"}.items():
        turn(labelled(user, label), typed)
    turn(labelled(user, "Its key"), "bench.key")
    turn(labelled(user, "The controller's certificate"), "server.der")
    user.find("Look at it").click()
    await renewed(session.looking, 0)
    await user.should_see("All values as they were read")
    turn(labelled(user, "The controller's certificate"), "bench.der")
    user.find("Look at it").click()
    assert "another certificate than server_certificate" in await refused(session.looking)
    assert SECRET not in session.looking.failed


def test_keys_lie_beside_the_plan(tmp_path: Path) -> None:
    (tmp_path / "bench.key").write_text("", encoding="utf-8")
    assert key_place(tmp_path, " bench.key ") == tmp_path / "bench.key"
    assert key_place(tmp_path, "") is None
    for elsewhere in ("../bench.key", "/etc/passwd", "none.key"):
        with pytest.raises(AskError, match="there is no file"):
            key_place(tmp_path, elsewhere)


def test_a_session_is_followed_by_its_journal_line_by_line(tmp_path: Path) -> None:
    first = {"full_call": False, "upper.mist": False, "upper.outlet_temperature": 150.0}
    lines = [
        {"cycle": at, "plant_ms": 50 * at, "late": False, "writes": [],
         "reads": [{"begin_ms": 50.0 * at, "end_ms": 50.0 * at + 2, "values": values}]}
        for at, values in enumerate([first, {"upper.mist": True}, {"upper.mist": False}])
    ]  # fmt: skip
    texts = [json.dumps(one) + "\n" for one in lines]
    following, file = Following(tmp_path, plan_of("small")), tmp_path / CYCLES
    assert not following.more()
    file.write_text("".join(texts[:2]) + texts[2][:20], encoding="utf-8")
    assert following.more()
    assert following.values["upper.mist"] is True
    assert following.values["upper.outlet_temperature"] == 150.0
    picture = following.picture()
    assert "upper.mist" in picture
    assert "Measured, degC" in picture
    assert 'data-series="upper.outlet_temperature"' in picture
    assert not following.more()
    file.write_text("".join(texts), encoding="utf-8")
    assert following.more()
    assert following.values["upper.mist"] is False


@pytest.mark.parametrize("text", ["", "../link.yaml", "/etc/passwd", "http://127.0.0.1/"])
def test_no_other_place_is_a_link(tmp_path: Path, text: str) -> None:
    with pytest.raises(AskError, match="is no controller"):
        link_place(tmp_path, text)
    assert link_place(tmp_path, " opc.tcp://127.0.0.1:4840/ ") == "opc.tcp://127.0.0.1:4840/"


def test_no_other_folder_is_a_session(tmp_path: Path) -> None:
    (tmp_path / CYCLES).write_text("", encoding="utf-8")
    for name in ("..", "../sessions", "none", ""):
        with pytest.raises(AskError, match="there is no session"):
            session_folder(tmp_path, name)
    assert sessions(tmp_path) == ()
    with pytest.raises(Exception, match="holds no report"):
        report(tmp_path)
