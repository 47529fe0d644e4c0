"""The program on the page, without a browser: beside its plan, and compared with another."""

from __future__ import annotations

import json

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.app.plan import read_typed
from steadfall.web.session import Session
from tests.web.hand import finished, pictures, turn

pytestmark = pytest.mark.asyncio


async def test_the_program_stands_beside_the_plan_with_its_lines(user: User, session: Session) -> None:
    evil = "x <img src=x onerror=alert(1)>"
    text = session.at_desk().text
    session.write(text.replace("title: Small press", f"title: {evil}"), object())
    await user.open("/code")
    await user.should_see("Nothing is written yet.")
    user.find("Write the program").click()
    await finished(session.code)
    plan, program = (one.content for one in pictures(user))
    row = next(k for k, line in enumerate(text.split("\n"), 1) if "name: dosing" in line)
    assert f'<li data-lines="{row}" tabindex="0"><code>' in plan
    assert f'<li data-lines="{row}" tabindex="0"><code>dosing_climb := ' in program
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


@pytest.mark.usefixtures("proofs_here")
async def test_what_a_controllers_text_does_to_the_plant_is_predicted(user: User, session: Session) -> None:
    await user.open("/code")
    desk = session.at_desk()
    other = read_typed(desk.text, str(desk.path)).emit().text.replace("T#800ms", "T#1200ms")
    chosen = next(one for one in user.find(kind=ui.element).elements if one.props.get("type") == "file")
    turn(chosen, ["longer.st", other])
    await finished(session.compared)
    shown = session.compared.shown
    assert shown is not None
    assert not shown.good
    rows = {row["what"]: row for row in json.loads(shown.twin)["effect"]}
    assert rows["water in all"]["first"] != rows["water in all"]["second"]
    assert rows["end of the run"]["unit"] == "s"
    assert "water in all" in shown.paper
