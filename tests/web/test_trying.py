"""The view Try as a person uses it, without a browser: press, go on, ask why, go back, keep."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.app.page.desk import digest
from steadfall.app.page.replay import BREAKS, refuted
from steadfall.app.plan import read_typed
from steadfall.plan.read.whole import read_text
from steadfall.web.session import Session
from steadfall.web.shown import Shown
from tests.cli.described import wrong_result
from tests.examples import ROOT

pytestmark = pytest.mark.asyncio
SMALL = (ROOT / "tests/plans/good/buttons.yaml").read_text(encoding="utf-8")
SAID = "requirements:\n  - {never: upper.flood and not air_pressure_ok, name: no flood without air}\n"
BROKEN = (ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8") + SAID
BROKEN = BROKEN.replace("for: all water", "for: [upper.mist]")


PATIENCE = 300  # turns, only of a test that fails


def found(user: User, **props: str) -> ui.element:
    """The element with these attributes."""
    wanted = {name.replace("_", "-"): value for name, value in props.items()}
    every = user.find(kind=ui.element).elements
    return next(one for one in every if all(one.props.get(name) == value for name, value in wanted.items()))


def hear(element: ui.element, event: str, args: Any = None) -> None:
    """As a browser says that something happened to an element."""
    for listener in list(element._event_listeners.values()):
        if listener.type == event:
            element._handle_event({"listener_id": listener.id, "args": args})


async def until(so: Callable[[], object]) -> None:
    """Until something is so; what a click has begun takes its turn."""
    for _ in range(PATIENCE):
        if so():
            return
        await asyncio.sleep(0.01)
    pytest.fail("it has not come about")


def _later(session: Session, ms: int) -> bool:
    return bool(session.live.now["now_ms"] > ms)


def stands(session: Session, name: str, said: str) -> bool:
    """Whether an input was put so."""
    return bool(session.live.now["held"].get(name) == said)


async def scans(user: User, session: Session, many: int) -> None:
    """So many clicks for one scan."""
    for _ in range(many):
        before = session.live.now["now_ms"]
        user.find("One scan").click()
        await until(partial(_later, session, before))


async def test_a_button_is_pressed_a_strip_asked_and_it_is_kept_as_a_scenario(
    user: User, session: Session
) -> None:
    session.write(SMALL, object())
    await user.open("/try")
    await user.should_see("Nothing is tried yet")
    user.find("Begin a trial").click()
    await user.should_see("Begin anew", retries=100)
    start = found(user, data_held="start_button")
    hear(start, "pointerdown")
    await until(partial(stands, session, "start_button", "on"))
    await scans(user, session, 1)
    hear(start, "pointerup")
    await scans(user, session, 30)
    told = (await user.http_client.get("/api/try")).json()
    names = [one["name"] for one in told["lanes"]]
    pressed = [(ms, to) for ms, of, to in told["changes"] if names[of] == "start_button"]
    assert pressed[-2:] == [(20, 1), (520, 0)]
    assert told["now_ms"] == 640
    assert wrong_result(told, "trial") == []
    figure = found(user, role="group", aria_label="Strips and curves")
    hear(figure, "why", {"name": "upper.sweep", "at_ms": 600})
    await user.should_see("upper.sweep is open at", retries=30)
    user.find("1 s").click()
    await until(lambda: session.live.now["now_ms"] == 20)
    hear(start, "keydown")
    await until(partial(stands, session, "start_button", "on"))
    hear(start, "keyup")
    await scans(user, session, 30)
    hear(found(user, maxlength="60"), "input", "started by hand")
    user.find("Write it into the plan").click()
    await user.should_see("--cases 'started by hand'", retries=30)
    scenario = read_text(session.at_desk().text, "p.yaml").scenarios["started by hand"]
    assert [(step.time_ms, step.presses) for step in scenario.steps] == [(20, ("start_button",))]
    await user.should_see("The plan was changed since")


async def test_switches_stay_and_sensors_are_taken_from_the_plant(user: User, session: Session) -> None:
    session.write(SMALL, object())
    await user.open("/try")
    user.find("Begin a trial").click()
    await user.should_see("Begin anew", retries=100)
    air = found(user, data_held="air_pressure_ok")
    assert air.props["aria-checked"] == "true"
    for said in ("off", "on", "off"):
        hear(air, "click")
        await until(partial(stands, session, "air_pressure_ok", said))
    hear(found(user, data_level="upper.pressure"), "input", "9.5")
    await until(partial(stands, session, "upper.pressure", "9.50 barg"))
    await scans(user, session, 1)
    assert session.live.now["shown"]["upper.pressure"] == 9.5


async def test_a_broken_requirement_is_gone_through_scan_by_scan(user: User, session: Session) -> None:
    session.write(BROKEN, object())
    proved = read_typed(BROKEN, "p.yaml").prove("stated.no_flood_without_air")
    for name, valve in (("upper.flood", True), ("air_pressure_ok", False)):
        strips = re.findall(rf'<g[^>]* data-strip="[^"]*\|{name}"[^>]*>', proved.page())
        assert {"data-signal" not in one for one in strips} == {valve}
    session.proof.shown = Shown("<p>paper</p>", "{}", digest(BROKEN), refuted=refuted(proved))
    await user.open("/proof")
    user.find("Replay").click()
    await user.should_see("to where it breaks", retries=100)
    live = session.live
    end, before = live.sheet["end_ms"], live.now["now_ms"]
    assert before < end
    await scans(user, session, 1)
    assert live.now["now_ms"] <= end
    user.find("to where it breaks").click()
    await until(lambda: live.now["over"] == BREAKS)
    assert live.now["now_ms"] == end
    told = (await user.http_client.get("/api/try")).json()
    assert told["title"].startswith("no flood without air: It never happens")
    assert told["controls"] == []
    assert wrong_result(told, "trial") == []


async def test_news_are_asked_with_numbers_alone(user: User) -> None:
    told = await user.http_client.get("/news/try?number=0&changes=0&samples=0")
    assert told.json()["sheet"] == {}
    for odd in ("number=x", "changes=1e9", "samples=../"):
        assert (await user.http_client.get(f"/news/try?{odd}")).status_code == 422
    assert (await user.http_client.get("/news/try?changes=-5&samples=-5")).json()["changes"] == []
