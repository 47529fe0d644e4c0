"""The table of single failures on the page, without a browser: each row opens its run."""

from __future__ import annotations

import json

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.app.page.desk import digest
from steadfall.app.plan import CoolingPlan
from steadfall.app.upset import Upsets
from steadfall.web.session import Session
from steadfall.web.shown import Shown
from tests.web.hand import choice_of, finished, renewed, turn

pytestmark = pytest.mark.asyncio
ONLY = ("works_air lost",)
MANY = 900


async def test_a_row_of_the_table_opens_its_strips_and_curves(
    user: User, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = CoolingPlan.upset
    monkeypatch.setattr(CoolingPlan, "upset", lambda plan, **given: whole(plan, *ONLY, workers=1, **given))
    monkeypatch.setattr(Upsets, "page", lambda *_, **__: "<p>the whole report</p>")
    await user.open("/upsets")
    await user.should_see("Nothing is tried yet")
    user.find("Try every single failure").click()
    await finished(session.upsets)
    table = session.upsets.shown
    assert table is not None
    await user.should_see(table.verdict, retries=30)
    assert (await user.http_client.get("/charts/failure")).status_code == 404
    (rows,) = user.find(ui.html).elements
    assert rows.content.count("data-row=") == len(table.table) - 1
    turn(rows, 0)
    await finished(session.failure)
    shown = session.failure.shown
    assert shown is not None
    told = json.loads(shown.twin)
    assert told["scenario"].startswith("works_air lost")
    await user.should_see(shown.verdict, retries=30)
    charts = (await user.http_client.get("/charts/failure")).json()
    assert "upper.mist" in charts["records"]["strips"]
    assert charts["ghost"]["series"].keys() == charts["records"]["series"].keys()
    turn(choice_of(user, "US"), "US")
    await renewed(session.failure, 1)
    assert session.upsets.number == 2
    charts = (await user.http_client.get("/charts/failure")).json()
    assert {"°F", "psig"} <= {one["symbol"] for one in charts["records"]["series"].values()}


async def test_a_large_table_is_one_element_and_its_words_no_html(user: User, session: Session) -> None:
    """Each element costs the page time in which nobody else is answered."""
    evil = "<img src=x onerror=alert(1)>"
    rows = [("worst", "when", f"{evil} {k}", "what", "by") for k in range(MANY)]
    before = await user.open("/upsets")
    plain = len(before.elements)
    session.upsets.shown = Shown("<p>paper</p>", "{}", digest(session.at_desk().text), table=(rows[0], *rows))
    after = await user.open("/upsets")
    (made,) = user.find(ui.html).elements
    assert made.content.count("data-row=") == MANY
    assert evil not in made.content
    assert len(after.elements) < plain + 10
