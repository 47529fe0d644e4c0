"""The search for doses on the page: asked for, chosen from, and taken into the plan once it is proved.

Rule of this file: what a search could find is made up; searches are tried in `tests/dose`.
"""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.app.dose import AIMS, TRIES, Dosed
from steadfall.app.plan import CoolingPlan
from steadfall.web.frame import FIRST
from steadfall.web.session import Session
from steadfall.web.shown import Shown
from steadfall.web.view.doses import USUAL, WORDS
from tests.dose.conftest import TEXT
from tests.dose.invented import found_in
from tests.web.hand import choice_of, finished, pictures, renewed, turn


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """Nothing is searched; what was asked for is noted."""
    noted: list[dict[str, Any]] = []

    def dose(self: CoolingPlan, aim: str, **given: Any) -> Dosed:
        noted.append({"aim": aim, **given})
        return Dosed(found_in(self.plan))

    monkeypatch.setattr(CoolingPlan, "dose", dose)
    return noted


def control(user: User, tag: str, **props: str) -> ui.element:
    """The control with these attributes."""
    every = user.find(kind=ui.element).elements
    return next(one for one in every if one.tag == tag and props.items() <= one.props.items())


@pytest.mark.usefixtures("proofs_here")
@pytest.mark.asyncio
async def test_doses_are_searched_chosen_from_and_taken(
    user: User, session: Session, asked: list[dict[str, Any]]
) -> None:
    session.write(TEXT, object())
    await user.open("/doses")
    await user.should_see("Nothing is searched yet.")
    turn(control(user, "input", **{FIRST: "1000"}), "24")
    turn(control(user, "input", placeholder="95 %"), "90 %")
    turn(choice_of(user, "water"), "water")
    turn(control(user, "input", value="90"), "88")  # a limit, for this search
    user.find("Search").click()
    await finished(session.doses)
    assert [(one["aim"], one["odds"], one["tries"]) for one in asked] == [("water", 0.9, 24)]
    shown = session.doses.shown
    assert shown is not None
    assert shown.offers is not None
    said = shown.offers.change.split("\n")
    assert [one for one in said if not one.startswith(("line ", "- ", "+ "))] == []
    row = next(k for k, one in enumerate(TEXT.split("\n"), 1) if "at most: 90 K" in one)
    place = said.index(f"line {row}")
    assert "at most: 90 K" in said[place + 1]  # a limit that was asked for goes into the plan too
    assert "at most: 88 K" in said[place + 2]
    assert (await user.http_client.get("/api/doses")).text == shown.twin
    assert (await user.http_client.get("/paper/doses")).text == shown.paper
    await user.should_see(shown.verdict)
    assert len(shown.offers.rows) == shown.offers.figure.count("data-row=") == 3

    turn(choice_of(user, "US"), "US")
    await renewed(session.doses, 1)
    again = session.doses.shown
    assert again is not None
    read = again.offers
    assert read is not None
    assert read.head[1] == "Water lb"
    await user.should_see("lb water", retries=30)

    figure, table = pictures(user)
    assert table.content.count("<tr>") == 4
    assert [one.content.count("data-row=") for one in (figure, table)] == [3, 3]
    turn(figure, 2)  # the last ring
    await user.should_see("From the trade-off, not written yet", retries=30)
    await finished(session.cooldown)
    tried = session.proposed()
    assert tried is not None
    assert session.cooldown.shown is not None
    assert json.loads(session.cooldown.shown.charts)["ghost"] is not None  # the plan as it is written
    assert session.at_desk().text == TEXT

    await user.open("/doses")
    user.find("Prove it, then write it into the plan").click()
    await finished(session.adopted)
    await user.should_see("Written into the text of the plan")
    changed = list(zip(TEXT.split("\n"), session.at_desk().text.split("\n"), strict=True))
    assert len([a for a, b in changed if a != b]) == 2  # a dose, and the limit that was asked for
    assert "at most: 88 K" in session.at_desk().text


@pytest.mark.usefixtures("asked")
@pytest.mark.asyncio
async def test_what_a_proof_refuses_is_not_written(
    user: User, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    session.write(TEXT, object())
    await user.open("/doses")
    user.find("Search").click()
    await finished(session.doses)
    refused = Shown("", "{}", "", verdict="refused by: never: upper.mist", good=False, text="title: other\n")

    async def do(*_asked: object, **_told: object) -> Shown:
        return refused

    monkeypatch.setattr(session.adopted.worker, "do", do)
    user.find("Prove it, then write it into the plan").click()
    await user.should_see("refused by: never: upper.mist", retries=30)
    assert session.at_desk().text == TEXT


@pytest.mark.usefixtures("asked")
@pytest.mark.asyncio
async def test_doses_of_a_text_that_has_changed_are_not_taken(user: User, session: Session) -> None:
    session.write(TEXT, object())
    await user.open("/doses")
    user.find("Search").click()
    await finished(session.doses)
    session.write(f"{TEXT}# changed\n", object())
    await user.should_see("The plan was changed since")
    user.find("Prove it, then write it into the plan").click()
    await user.should_see("The plan was changed since the search")
    assert session.adopted.shown is None


@pytest.mark.parametrize(
    ("odds", "tries", "said"),
    [("none", "24", "no share"), ("0 %", "24", "no share"), ("", "1e9", "no number"), ("", "5", "no number")],
)
@pytest.mark.asyncio
async def test_what_cannot_be_asked_is_said(
    user: User, session: Session, odds: str, tries: str, said: str
) -> None:
    await user.open("/doses")
    turn(control(user, "input", **{FIRST: "1000"}), tries)
    turn(control(user, "input", placeholder="95 %"), odds)
    user.find("Search").click()
    await user.should_see(said)
    assert session.doses.shown is None


def test_every_aim_has_its_words() -> None:
    assert tuple(WORDS) == AIMS
    assert USUAL == TRIES


def test_the_page_begins_without_what_only_the_work_needs() -> None:
    """Provers and compilers take seconds to load; they are loaded in the processes beside the page."""
    heavy = ("z3", "cvc5", "numba", "pymoo")
    code = f"import sys, steadfall.web.serve; print([name for name in {heavy} if name in sys.modules])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert ran.stdout.decode().strip() == "[]"
