"""What a controller has latched before a session is cleared as people clear it."""

from __future__ import annotations

import pytest

from steadfall.bench.cases.clearing import Press, clearing
from steadfall.bench.judge.finding import Said, Terms
from steadfall.bench.judge.whole import judge
from steadfall.bench.session.journal import Row
from steadfall.bench.session.loop import Driven, Session
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.predict.stepper import Stepper
from tests.bench.made import plan_of
from tests.examples import ROOT


@pytest.fixture(scope="module")
def barrel() -> Plan:
    """Whose sweep at power-up has no air as long as the plant stands still: an alarm stands."""
    return read_file(ROOT / "examples/barrel.yaml")


@pytest.mark.parametrize(("cleared", "said"), [(True, Said.PASS), (False, Said.FAIL)])
def test_an_alarm_of_before_is_acknowledged(barrel: Plan, cleared: bool, said: Said) -> None:
    link, rows = LockStep(Soft(build(barrel)), 20, 40), list[Row]()
    presses = clearing(barrel) if cleared else ()
    driven = Driven(1_000, drive=True, settle_ms=35_000, presses=presses)
    Session(Stepper(barrel), (link, link), driven, rows.append).run()
    judged = judge(barrel, build(barrel), rows, Terms(20, 40, 0.0, 50), requirements=False)
    assert judged.conforms.said is said


def test_each_button_is_pressed_once_for_as_long_as_it_must_be_held(barrel: Plan) -> None:
    assert clearing(barrel) == (Press({"reset_button": True}, 500),)
    assert clearing(plan_of("hosts")) == ()
    assert [one.inputs for one in clearing(plan_of("counters"))] == [{"seen_button": True}]
