"""Nothing cools by itself after power-up, a trip or a lost permissive: a call is let go and made again."""

from __future__ import annotations

import pytest
from attrs import evolve

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.meaning.person.let_go import made
from steadfall.plan.model import Call, Input, Plan
from steadfall.plan.model.condition import Condition
from steadfall.plan.text.phrase import read_phrase
from steadfall.plan.text.speak import speak
from steadfall.plan.text.tree import Scalar
from steadfall.scan.interpreter import Scanner
from steadfall.source import NOWHERE
from tests.logic.plans import AIR_OK, FAULT, INPUTS, held, on, plan

READY: dict[str, Value] = {"air_ok": True, "fault": False, "reset_button": False}
HOT = Input("hot", "switch", measures="upper.mist.is_open")


def parse(text: str) -> Condition:
    return read_phrase(Scalar(text, NOWHERE))


def made_plan(when: str = "full_call", *, restarts: bool = False) -> Plan:
    call = Call(parse(when), "full", ("upper",))
    found = plan(calls=(call,), permissives=(AIR_OK,), trips=(FAULT,), inputs=(*INPUTS, HOT))
    return evolve(found, restarts=restarts)


class Bench:
    """A scanner of a plan with one call."""

    def __init__(self, plan: Plan) -> None:
        self.scanner = Scanner(build(plan))

    def cools(self, scans: int = 1, **given: Value) -> bool:
        """Whether the circuit is in a stage after so many scans with these inputs."""
        for _ in range(scans):
            self.scanner.scan(10, {**READY, **given})
        return self.scanner.values["upper.target"] != 0


def test_a_switch_that_is_on_when_power_comes_counts_once_it_has_been_off() -> None:
    bench = Bench(made_plan())
    assert not bench.cools(50, full_call=True)
    assert not bench.cools(full_call=False)
    assert bench.cools(full_call=True)


@pytest.mark.parametrize("cut", [{"air_ok": False}, {"fault": True}])
def test_what_has_been_cut_stays_so_until_the_call_is_made_again(cut: dict[str, bool]) -> None:
    bench = Bench(made_plan())
    bench.cools(full_call=False)
    assert bench.cools(full_call=True)
    bench.cools(full_call=True, **cut)
    bench.cools(full_call=True, reset_button=True)
    assert not bench.cools(50, full_call=True)
    bench.cools(full_call=False)
    assert bench.cools(full_call=True)


def test_a_call_made_while_something_is_tripped_is_none_after_the_reset() -> None:
    bench = Bench(made_plan())
    bench.cools(full_call=False)
    bench.cools(full_call=False, fault=True)
    assert not bench.cools(full_call=True)
    bench.cools(full_call=True, reset_button=True)
    assert not bench.cools(50, full_call=True)


def test_where_the_plan_says_so_it_goes_on_by_itself() -> None:
    bench = Bench(made_plan(restarts=True))
    assert bench.cools(full_call=True)
    assert not bench.cools(full_call=True, air_ok=False)
    assert bench.cools(full_call=True)


def test_the_plant_makes_no_new_call() -> None:
    """A switch that was on before power came does not begin because the metal gets hot, nor because time
    passes.
    """
    bench = Bench(made_plan("full_call and hot for 0.1 s"))
    assert not bench.cools(50, full_call=True, hot=False)
    assert not bench.cools(50, full_call=True, hot=True)
    bench.cools(full_call=False, hot=True)
    assert bench.cools(50, full_call=True, hot=True)


LET_GO = {
    "full_call": "full_call",
    "full_call and hot": "full_call",
    "full_call or hot": "full_call or hot",
    "full_call and hot for 2 s": "full_call",
    "full_call for 2 s": "full_call",
    "not (full_call for 2 s)": "not (full_call for 2 s)",
    "not (full_call and hot)": "not (full_call and hot)",
    "full_call and not (gentle_call and not hot)": "full_call",
    "hot for 2 s": "hot",
    "full_call and not tripped": "full_call",
    "full_call and demand > 40 %": "full_call and demand > 40 %",
}


@pytest.mark.parametrize("when", LET_GO)
def test_what_stands_as_long_as_a_call_is_not_let_go(when: str) -> None:
    found = speak(made(parse(when), made_plan()))
    assert found == LET_GO[when]


def test_whatever_asks_has_not_been_let_go() -> None:
    """What stands holds in every scan in which the call asks."""
    assert made(held(on("full_call"), 100), made_plan()) == on("full_call")
