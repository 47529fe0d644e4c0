"""The proof on the page, without a browser: under a fault, and of another plan."""

from __future__ import annotations

import asyncio
import json

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.web.session import Session
from steadfall.web.shown import Shown
from tests.examples import ROOT
from tests.web.hand import finished, turn

pytestmark = pytest.mark.asyncio


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
    assert json.loads(shown.twin)["changed"] != []
    frame = next(one for one in user.find(kind=ui.element).elements if one.tag == "iframe")
    assert (await user.http_client.get(frame.props["src"])).text == shown.paper


async def test_what_is_written_otherwise_is_there_before_the_proof(
    user: User, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone = (ROOT / "tests/plans/good/logic_alone.yaml").read_text(encoding="utf-8")
    (session.folder / "other.yaml").write_text(alone.replace("open: 0.8 s", "open: 0.9 s"), encoding="utf-8")
    session.write(alone, object())
    proved = asyncio.Event()

    async def do(*_given: object, **_told: object) -> Shown:
        await proved.wait()
        return Shown("<p>paper</p>", "{}", "")

    monkeypatch.setattr(session.revised.worker, "do", do)
    await user.open("/proof")
    selects = [one for one in user.find(kind=ui.element).elements if one.tag == "select"]
    turn(max(selects, key=lambda one: one.id), "other.yaml")
    await user.should_see("What is written otherwise")
    await user.should_see("900 ms")
    proved.set()
    await finished(session.revised)
    await user.should_not_see("What is written otherwise")  # the paper has it


async def test_a_proof_is_asked_under_a_fault(
    user: User, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []

    async def do(_work: object, *given: object, **_told: object) -> Shown:
        asked.append(given[2])
        return Shown("", "{}", "")

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
