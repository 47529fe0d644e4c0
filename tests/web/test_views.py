"""Each view as a person finds it, without a browser."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.app.page.desk import digest, opened
from steadfall.app.plan import read_typed
from steadfall.web.frame import FIRST
from steadfall.web.session import Job, Session
from steadfall.web.shown import Shown
from steadfall.web.tasks import rehearsed
from steadfall.web.views import VIEWS
from tests.examples import ROOT

pytestmark = pytest.mark.asyncio
MISTAKE = "works_water: {fluid: water, presure: 4 barg"


def editor(user: User) -> ui.codemirror:
    return next(iter(user.find(ui.codemirror).elements))


def write(user: User, text: str) -> None:
    """As if it was typed."""
    editor(user).set_value(text)


def pictures(user: User) -> list[ui.html]:
    """Piping and stages, as they stand on the page."""
    return sorted(user.find(ui.html).elements, key=lambda one: one.id)


def turn(element: ui.element, value: object) -> None:
    """As a browser says that a control has another value."""
    for listener in element._event_listeners.values():
        element._handle_event({"listener_id": listener.id, "args": value})


async def finished(job: Job) -> None:
    """The work is done, or has failed."""
    while job.shown is None and not job.failed:
        await asyncio.sleep(0.01)
    assert job.failed == ""


async def test_a_plan_is_opened_with_what_is_wrong_and_what_could_be_better(
    user: User, session: Session
) -> None:
    await user.open("/plan")
    await user.should_see("None: the plan can be predicted, proved and written.", retries=30)
    await user.should_see("Saved")
    session.write((ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8"), object())
    count = len(session.at_desk().check().advice)
    assert count > 0
    await user.should_see(f"What a careful colleague would point out ({count})", retries=30)


async def test_a_mistake_is_marked_at_its_place_and_mended(user: User, plan: Path) -> None:
    await user.open("/plan")
    good = plan.read_text(encoding="utf-8")
    write(user, good.replace("works_water: {fluid: water, pressure: 4 barg", MISTAKE))
    await user.should_see("did you mean 'pressure'?", retries=30)
    await user.should_see("Not saved yet; what you typed is kept")
    lines = good.split("\n")
    row = next(k for k, line in enumerate(lines, 1) if "works_water: {" in line)
    await user.should_see(f"line {row}")
    marked = [mark for mark in editor(user).decorations if mark["kind"] == "mark"]
    text = editor(user).value
    assert "presure: 4 barg" in [text[mark["from"] : mark["to"]] for mark in marked]
    assert "presure" in editor(user).line_tooltips[row]
    write(user, good)
    await user.should_see("None: the plan can be predicted, proved and written.", retries=30)


async def test_pictures_stand_beside_the_text_and_name_lines(
    user: User, plan: Path, session: Session
) -> None:
    evil = "<img src=x onerror=alert(1)>"
    lines = plan.read_text(encoding="utf-8").split("\n")
    text = "\n".join(f"title: '{evil}'" if line.startswith("title:") else line for line in lines)
    session.write(text, object())
    await user.open("/plan")
    await user.should_see("<svg", retries=30)
    piping, stages = (one.content for one in pictures(user))
    flood = next(k for k, line in enumerate(lines, 1) if "flood: {supply" in line)
    first = next(k for k, line in enumerate(lines, 1) if "name: first_doses" in line)
    assert f'data-line="{flood}"' in piping
    assert f'data-line="{first}"' in stages
    assert "<img" not in piping + stages
    write(user, "title: half a pl")
    await user.should_see("Problems (", retries=30)
    assert [one.content for one in pictures(user)] == [piping, stages]  # of the last text that was good


async def test_what_is_typed_is_on_the_disk_before_it_is_saved(user: User, plan: Path) -> None:
    await user.open("/plan")
    write(user, "title: half a pl")
    assert opened(plan).text == "title: half a pl"
    user.find("Save").click()
    await user.should_see("Saved")
    assert plan.read_text(encoding="utf-8") == "title: half a pl"


async def test_a_change_on_the_disk_is_taken_where_nothing_was_typed(
    user: User, plan: Path, session: Session
) -> None:
    await user.open("/plan")
    plan.write_text("title: theirs\n", encoding="utf-8")
    session.look()
    assert editor(user).value == "title: theirs\n"
    await user.should_see("Saved")


async def test_a_change_on_the_disk_is_asked_about_where_something_was_typed(
    user: User, plan: Path, session: Session
) -> None:
    await user.open("/plan")
    write(user, "title: mine\n")
    plan.write_text("title: theirs\n", encoding="utf-8")
    session.look()
    await user.should_see("Somebody else has changed the file")
    assert editor(user).value == "title: mine\n"
    user.find("Save").click()
    await user.should_see("changed on the disk since it was opened")
    assert plan.read_text(encoding="utf-8") == "title: theirs\n"
    user.find("Take what is on the disk").click()
    await user.should_see("Saved")
    assert editor(user).value == "title: theirs\n"


async def test_another_tab_sees_what_is_typed_here(user: User, session: Session) -> None:
    await user.open("/plan")
    session.write("title: from the other tab\n", object())
    assert editor(user).value == "title: from the other tab\n"


async def test_a_starter_is_written_beside_the_plan_and_opened(user: User, session: Session) -> None:
    await user.open("/")
    user.find("A batch oven").click()
    await user.should_see(ui.codemirror, retries=30)
    assert (session.folder / "new-plan.yaml").is_file()
    assert session.at_desk().path.name == "new-plan.yaml"
    assert session.at_desk().check().good


async def test_a_name_that_leads_out_of_the_folder_is_refused(user: User, session: Session) -> None:
    await user.open("/")
    box = next(
        one for one in user.find(kind=ui.element).elements if one.tag == "input" and "value" in one.props
    )
    turn(box, "../out.yaml")
    user.find("A batch oven").click()
    await user.should_see("cannot be the name of a plan")
    assert session.at_desk().path.name == "press.yaml"
    assert [path.name for path in session.folder.parent.glob("*.yaml")] == []


async def test_without_a_plan_there_is_only_the_beginning(user: User, session: Session) -> None:
    session.desk = None
    await user.open("/plan")
    await user.should_see("Begin with a plan")
    await user.should_not_see("Cool-down")


async def test_words_of_a_plan_are_never_html(user: User, session: Session) -> None:
    evil = "<img src=x onerror=alert(1)>"
    session.write(f"'{evil}': 1\n", object())
    await user.open("/plan")
    await user.should_see(evil, retries=30)
    page = (await user.http_client.get("/plan")).text
    assert "<img" not in page
    assert "&lt;img" in page


async def test_a_number_is_turned_predicted_and_written_into_the_text(user: User, session: Session) -> None:
    before = session.at_desk().text
    await user.open("/cooldown")
    await user.should_see("Nothing is predicted yet")
    await user.should_see("air lost")
    turner = next(
        one
        for one in user.find(kind=ui.element).elements
        if one.tag == "input" and one.props.get(FIRST) == "0.4"
    )
    turn(turner, "0.6")
    await finished(session.cooldown)
    shown = session.cooldown.shown
    assert shown is not None
    after = before.replace("mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 0.6 s, shut: 3.6 s}")
    assert shown.digest == digest(after)
    assert (await user.http_client.get("/api/cooldown")).json() == shown.twin
    charts = (await user.http_client.get("/charts/cooldown")).json()
    assert charts["ghost"] is not None  # the plan as it is written
    assert len(charts["limits"]) == len(shown.twin["limits"]) + len(shown.twin["goals"])
    await user.should_see(shown.verdict)
    assert session.at_desk().text == before
    user.find("Write into the plan").click()
    await user.should_see("Written into the text of the plan")
    assert session.at_desk().text == after


async def test_the_program_stands_beside_the_plan_with_its_lines(user: User, session: Session) -> None:
    evil = "x <img src=x onerror=alert(1)>"
    text = session.at_desk().text
    session.write(text.replace("title: Ravel Moor", f"title: {evil}"), object())
    await user.open("/code")
    await user.should_see("Nothing is written yet.")
    user.find("Write the program").click()
    await finished(session.code)
    plan, program = (one.content for one in pictures(user))
    row = next(k for k, line in enumerate(text.split("\n"), 1) if "name: first_doses" in line)
    assert f'<li data-lines="{row}" tabindex="0"><code>' in plan
    assert f'<li data-lines="{row}" tabindex="0"><code>first_doses_climb := ' in program
    assert "<img" not in plan + program
    shown = session.code.shown
    assert shown is not None
    assert shown.code is not None
    for name, content in shown.code.files.items():
        assert (await user.http_client.get(f"/file/{name}")).content == content
    for name in ("none.csv", "../plan.yaml", "..%2fplan.yaml"):
        assert (await user.http_client.get(f"/file/{name}")).status_code == 404
    session.write(f"{text}# changed\n", object())
    await user.should_see("The plan was changed since")


@pytest.mark.usefixtures("proofs_here")
async def test_a_controllers_text_is_compared(user: User, session: Session) -> None:
    session.write((ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8"), object())
    await user.open("/code")
    desk = session.at_desk()
    other = read_typed(desk.text, str(desk.path)).emit().text
    chosen = next(one for one in user.find(kind=ui.element).elements if one.props.get("type") == "file")
    turn(chosen, ["../../<b>other.st", other])
    await finished(session.compared)
    shown = session.compared.shown
    assert shown is not None
    assert shown.good  # the very text that the plan gives
    await user.open("/code")
    frame = next(one for one in user.find(kind=ui.element).elements if one.tag == "iframe")
    paper = (await user.http_client.get(frame.props["src"])).text
    assert "<b>other.st" not in paper
    assert "&lt;b&gt;other.st" in paper


async def test_a_file_that_is_too_large_is_refused(user: User, session: Session) -> None:
    await user.open("/")
    chosen = next(one for one in user.find(kind=ui.element).elements if one.props.get("type") == "file")
    turn(chosen, ["huge.yaml", None])
    await user.should_see("huge.yaml has more than")
    turn(chosen, ["../small.yaml", "title: small"])
    await user.should_see("cannot be the name of a plan")
    turn(chosen, ["<img src=x onerror=a()>.yaml", "title: small"])
    await user.should_see(ui.codemirror, retries=30)
    page = (await user.http_client.get("/")).text
    assert "<img" not in page
    assert "&lt;img src=x onerror=a()&gt;.yaml" in page
    await user.open("/")
    chosen = next(one for one in user.find(kind=ui.element).elements if one.props.get("type") == "file")
    turn(chosen, ["small.yaml", "title: small"])
    await user.should_see(ui.codemirror, retries=30)
    assert session.at_desk().text == "title: small"


async def test_sizes_are_those_of_the_command(user: User, session: Session) -> None:
    await user.open("/sizes")
    user.find("Size every part").click()
    await finished(session.sizes)
    shown = session.sizes.shown
    assert shown is not None
    frame = next(one for one in user.find(kind=ui.element).elements if one.tag == "iframe")
    assert frame.props["sandbox"] == "allow-scripts"
    assert (await user.http_client.get(frame.props["src"])).text == shown.paper
    assert (await user.http_client.get("/api/sizes")).json() == shown.twin


async def test_a_session_is_rehearsed_and_its_report_shown(user: User, session: Session) -> None:
    await user.open("/bench")
    await user.should_see("every stage")
    # a session of the press is judged for much longer
    small = (ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8")
    await session.bench.run(rehearsed, small, "plan.yaml", "call 1")
    shown = session.bench.shown
    assert shown is not None
    assert "A session of the bench" in shown.paper
    assert shown.twin["session"]["scenario"] == "call 1"


async def test_what_cannot_be_predicted_says_why(user: User, session: Session) -> None:
    session.write("title: no plan\n", object())
    await user.open("/cooldown")
    user.find("Predict").click()
    await user.should_see("press.yaml:1:1", retries=30)


async def test_every_view_has_its_twin_and_a_place_in_the_head(user: User, session: Session) -> None:
    for view in VIEWS:
        await user.open(view.link.path)
        for other in VIEWS:
            await user.should_see(other.link.title)
        told = (await user.http_client.get(f"/api/{view.name}")).json()
        assert told["steadfall"] == 1
    checked = (await user.http_client.get("/api/plan")).json()
    assert checked == session.at_desk().check().as_json()


@pytest.mark.parametrize("path", ["/look/../guard.py", "/look/..%2fguard.py", "/look/none.css", "/paper/x"])
async def test_no_other_file_is_served(user: User, path: str) -> None:
    assert (await user.http_client.get(path)).status_code == 404


async def test_help_is_asked_with_the_text_as_a_browser_counts_it(user: User) -> None:
    text = "title: \N{SNOWMAN}\N{FIRE}\nsca"  # the fire counts as two in a browser
    told = await user.http_client.post("/api/complete", json={"text": text, "offset": len(text) + 1})
    assert [hint["label"] for hint in told.json()["hints"]] == ["scan"]
    assert told.json()["word"] == "sca"
    told = await user.http_client.post("/api/explain", json={"text": "scan: {}", "offset": 2})
    assert told.json()["hint"]["label"] == "scan"
    odds: tuple[object, ...] = ([], {"text": 1}, {"text": "a", "offset": -5}, {"offset": "x"})
    for odd in odds:
        assert (await user.http_client.post("/api/explain", json=odd)).json() == {"hint": None}


async def test_a_plan_is_drafted_from_answers(user: User, session: Session) -> None:
    def control(tag: str, **props: str) -> ui.element:
        every = user.find(kind=ui.element).elements
        return next(one for one in every if one.tag == tag and props.items() <= one.props.items())

    await user.open("/")
    assert control("input", name="mass").props["placeholder"] == "1600 kg"
    selects = (one for one in user.find(kind=ui.element).elements if one.tag == "select")
    kinds = min(selects, key=lambda one: one.id)
    turn(kinds, "barrel")
    assert control("input", name="mass").props["placeholder"] == "95 kg"  # typical for a barrel
    turn(control("input", name="mass"), "a lot")
    await user.should_see("Mass of the metal in all: 'a lot'")
    user.find("Draft the plan").click()
    assert session.at_desk().path.name == "press.yaml"
    turn(control("input", name="mass"), "120 kg")
    user.find("Draft the plan").click()
    await user.should_see(ui.codemirror, retries=30)
    assert session.at_desk().path.name == "new-plan.yaml"
    assert "metal: {mass: 120 kg, material: carbon steel" in session.at_desk().text
    assert session.at_desk().check().good


@pytest.mark.usefixtures("proofs_here")
async def test_a_plan_is_compared_with_another(user: User, session: Session) -> None:
    alone = (ROOT / "tests/plans/good/logic_alone.yaml").read_text(encoding="utf-8")
    (session.folder / "other.yaml").write_text(alone.replace("open: 0.8 s", "open: 0.9 s"), encoding="utf-8")
    session.write(alone, object())
    await user.open("/proof")
    selects = [one for one in user.find(kind=ui.element).elements if one.tag == "select"]
    _, others = sorted(selects, key=lambda one: one.id)
    turn(others, "../other.yaml")
    await user.should_see("cannot be the name of a plan")
    turn(others, "other.yaml")
    await finished(session.revised)
    shown = session.revised.shown
    assert shown is not None
    assert not shown.good  # a dose is longer
    assert shown.twin["changed"] != []
    frame = next(one for one in user.find(kind=ui.element).elements if one.tag == "iframe")
    assert (await user.http_client.get(frame.props["src"])).text == shown.paper


async def test_a_proof_is_asked_under_a_fault(
    user: User, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []

    async def do(_work: object, *given: object, **_told: object) -> Shown:
        asked.append(given[2])
        return Shown("", {}, "")

    monkeypatch.setattr(session.proof.worker, "do", do)
    await user.open("/proof")
    await user.should_see("power cut")
    user.find("Prove every requirement").click()
    await finished(session.proof)
    selects = [one for one in user.find(kind=ui.element).elements if one.tag == "select"]
    turn(min(selects, key=lambda one: one.id), "full_call stuck on")
    user.find("Prove every requirement").click()
    while len(asked) < 2:
        await asyncio.sleep(0.01)
    assert asked == [(), ("full_call stuck on",)]
    assert "full_call stuck on" in session.at_desk().faults()


async def test_a_number_is_put_into_the_text_by_a_form(user: User, session: Session) -> None:
    before = session.at_desk().text
    await user.open("/plan")
    await user.should_see("first_doses mist open", retries=30)
    fields = [one for one in user.find(kind=ui.element).elements if one.props.get("inputmode") == "decimal"]
    dose = next(one for one in fields if one.props["value"] == "0.4")
    for listener in tuple(dose._event_listeners.values()):
        if listener.type == "change":
            dose._handle_event({"listener_id": listener.id, "args": "0.6 s}, evil: {open: 1"})
            assert session.at_desk().text == before  # a number is a number
            dose._handle_event({"listener_id": listener.id, "args": "0.6"})
    after = before.replace("mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 0.6 s, shut: 3.6 s}")
    assert session.at_desk().text == after
    assert editor(user).value == after
    session.write(after.replace("open: 0.6 s", "open: 0.7 s"), object())  # in another tab
    for _ in range(100):
        if dose.props["value"] == "0.7":
            break
        await asyncio.sleep(0.05)
    assert dose.props["value"] == "0.7"
