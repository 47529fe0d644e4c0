"""The cool-down on the page, without a browser: a number turned, predicted and written."""

from __future__ import annotations

import json

import pytest
from nicegui import Client, ui
from nicegui.testing import User

from steadfall.app.page.desk import digest
from steadfall.web.frame import FIRST
from steadfall.web.session import Session
from steadfall.web.tasks import Look, Run, drawn
from steadfall.web.view import cooldown
from tests.web.hand import finished, turn

NEVER_S = 1e6
pytestmark = pytest.mark.asyncio


async def test_a_number_is_turned_predicted_and_written_into_the_text(
    user: User, pressed: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cooldown, "REST_S", NEVER_S)  # the fine run is not what is looked at here
    session, before = pressed, pressed.at_desk().text
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
    assert (await user.http_client.get("/api/cooldown")).text == shown.twin
    charts = (await user.http_client.get("/charts/cooldown")).json()
    assert charts["ghost"] is not None  # the plan as it is written
    told = json.loads(shown.twin)
    assert len(charts["limits"]) == len(told["limits"]) + len(told["goals"])
    assert any("steps of up to 0.2 s" in note["sentence"] for note in told["notes"])
    await user.should_see(shown.verdict)
    assert session.at_desk().text == before
    user.find("Write into the plan").click()
    await user.should_see("Written into the text of the plan")
    assert session.at_desk().text == after


async def test_a_number_that_is_turned_back_stands_as_it_is_written(user: User, pressed: Session) -> None:
    await user.open("/cooldown")
    turner = next(
        one
        for one in user.find(kind=ui.element).elements
        if one.tag == "input" and one.props.get(FIRST) == "3"
    )
    for number in ("3.1", "3.0"):
        turn(turner, number)
    await finished(pressed.cooldown)
    await user.should_not_see("Write into the plan")
    await user.should_see("3 s")


async def test_what_cannot_be_predicted_says_why(user: User, session: Session) -> None:
    session.write("title: no plan\n", object())
    await user.open("/cooldown")
    user.find("Predict").click()
    await user.should_see("small.yaml:1:1", retries=30)


async def test_charts_follow_what_is_predicted_from_elsewhere(
    user: User, pressed: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From the trade-off of a search, or in another tab."""
    told: list[tuple[str, str]] = []
    monkeypatch.setattr(Client, "run_javascript", lambda client, code, **_: told.append((client.id, code)))
    tab = await user.open("/cooldown")
    run = Run(pressed.at_desk().text, str(pressed.at_desk().path), None, quick=True)
    await pressed.cooldown.run(drawn, run, Look())
    ((client, code),) = told
    assert client == tab.id
    assert "/look/charts.js" in code
    assert f"'cooldown', {pressed.cooldown.number}," in code
