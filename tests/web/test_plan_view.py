"""The text of a plan on the page, without a browser: what is wrong, what was typed, what others change."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.app.page.desk import opened
from steadfall.web.session import Session
from tests.web.hand import editor, pictures, write

pytestmark = pytest.mark.asyncio
MISTAKE = "works_water: {fluid: water, presure: 4 barg"


async def test_a_plan_is_opened_with_what_is_wrong_and_what_could_be_better(
    user: User, session: Session
) -> None:
    await user.open("/plan")
    await user.should_see("None: the plan can be predicted, proved and written.", retries=30)
    await user.should_see("Saved")
    count = len(session.at_desk().check().advice)
    assert count > 0
    await user.should_see(f"What a careful colleague would point out ({count})", retries=30)


async def test_a_mistake_is_marked_at_its_place_and_mended(user: User, plan: Path) -> None:
    await user.open("/plan")
    good = plan.read_text(encoding="utf-8")
    write(user, good.replace("works_water: {fluid: water, pressure: 4 barg", MISTAKE))
    await user.should_see("expected 'pressure' such as 'pressure: 4 barg'", retries=30)
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
    first = next(k for k, line in enumerate(lines, 1) if "name: dosing" in line)
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


async def test_words_of_a_plan_are_never_html(user: User, session: Session) -> None:
    evil = "<img src=x onerror=alert(1)>"
    session.write(f"'{evil}': 1\n", object())
    await user.open("/plan")
    await user.should_see(evil, retries=30)
    page = (await user.http_client.get("/plan")).text
    assert "<img" not in page
    assert "&lt;img" in page


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


async def test_a_number_is_put_into_the_text_by_a_form(user: User, session: Session) -> None:
    before = session.at_desk().text
    await user.open("/plan")
    await user.should_see("dosing mist open", retries=30)
    fields = [one for one in user.find(kind=ui.element).elements if one.props.get("inputmode") == "decimal"]
    dose = next(one for one in fields if one.props["value"] == "0.8")
    for listener in tuple(dose._event_listeners.values()):
        if listener.type == "change":
            dose._handle_event({"listener_id": listener.id, "args": "0.6 s}, evil: {open: 1"})
            assert session.at_desk().text == before  # a number is a number
            dose._handle_event({"listener_id": listener.id, "args": "0.6"})
    after = before.replace("mist: {open: 0.8 s, shut: 2.4 s}", "mist: {open: 0.6 s, shut: 2.4 s}")
    assert session.at_desk().text == after
    assert editor(user).value == after
    session.write(after.replace("open: 0.6 s", "open: 0.7 s"), object())  # in another tab
    for _ in range(100):
        if dose.props["value"] == "0.7":
            break
        await asyncio.sleep(0.05)
    assert dose.props["value"] == "0.7"


@pytest.mark.parametrize("body", [b"", b"{", b"\xff\xfe", b'{"text": "\\ud800", "offset": 1}'])
async def test_what_is_odd_is_taken_as_nothing(user: User, body: bytes) -> None:
    for way in ("complete", "explain"):
        told = await user.http_client.post(f"/api/{way}", content=body)
        assert told.status_code == 200


async def test_what_a_button_wrote_is_taken_back_until_more_is_typed(user: User, session: Session) -> None:
    before = session.at_desk().text
    session.write(f"{before}# doses that were taken\n", None)
    await user.open("/plan")
    user.find("Take back what was written").click()
    assert session.at_desk().text == before
    session.write(f"{before}# typed\n", object())
    assert session.before() is None
