"""What all views of the page have, and those that show a paper alone, without a browser."""

from __future__ import annotations

import json

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.web.session import Session
from steadfall.web.tasks import rehearsed
from steadfall.web.views import VIEWS
from tests.web.hand import finished

pytestmark = pytest.mark.asyncio


async def test_sizes_are_those_of_the_command(user: User, session: Session) -> None:
    await user.open("/sizes")
    user.find("Size every part").click()
    await finished(session.sizes)
    shown = session.sizes.shown
    assert shown is not None
    frame = next(one for one in user.find(kind=ui.element).elements if one.tag == "iframe")
    assert frame.props["sandbox"] == "allow-scripts"
    assert (await user.http_client.get(frame.props["src"])).text == shown.paper
    assert (await user.http_client.get("/api/sizes")).text == shown.twin


async def test_a_session_is_rehearsed_and_its_report_shown(user: User, session: Session) -> None:
    await user.open("/bench")
    await user.should_see("every stage")
    desk = session.at_desk()
    await session.bench.run(rehearsed, desk.text, desk.path.name, "call 1", session.folder / "it")
    shown = session.bench.shown
    assert shown is not None
    assert "A session of the bench" in shown.paper
    assert json.loads(shown.twin)["session"]["scenario"] == "call 1"


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
