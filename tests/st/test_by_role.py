"""The writer knows a signal by its role: its place and its spelling change nothing in what is written."""

from __future__ import annotations

from typing import Any

import pytest
from attrs import evolve

from steadfall.logic.build.whole import build
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Constant, Type
from steadfall.plan.model import Plan
from steadfall.st.read.whole import read_st
from steadfall.st.write import whole
from steadfall.st.write.whole import Emitted, structured_text
from tests.logic import plans
from tests.st.agreement import assert_same
from tests.st.test_round_trip import trace

PLAN = plans.large()


def same(plan: Plan, emitted: Emitted) -> None:
    """The text does what the plan's network does."""
    network, back = build(plan), read_st(emitted.text, "plan.st", emitted.names)
    assert back.outputs == network.outputs
    stages = [f"{circuit}.stage" for circuit in plan.circuits]
    for seed in range(2):
        assert_same(network, back, [*network.outputs, *stages], trace(network, seed, 300))


@pytest.mark.parametrize("circuit", PLAN.circuits)
@pytest.mark.parametrize("before", ["target", "stage_time", "step_over", "mist.dose_open", "flood"])
def test_one_more_row_that_nothing_reads_changes_nothing_else(
    circuit: str, before: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    spare = Assignment("spare", Type.BOOL, Constant(True, Type.BOOL), False)

    def with_spare(plan: Plan, **given: Any) -> Network:
        rows = list(build(plan, **given).assignments)
        place = next(n for n, row in enumerate(rows) if row.name == f"{circuit}.{before}")
        return evolve(build(plan, **given), assignments=(*rows[:place], spare, *rows[place:]))

    monkeypatch.setattr(whole, "build", with_spare)
    emitted = structured_text(PLAN)
    assert "spare := TRUE;" in emitted.text
    same(PLAN, emitted)


@pytest.mark.parametrize("word", ["state", "far", "called", "running", "step_over", "trip"])
def test_a_valve_a_stage_or_a_type_may_be_called_like_what_code_is_made_with(word: str) -> None:
    kind = PLAN.type_of("upper")
    first, second = kind.stages[:2]
    named = evolve(second, name=word, actions={word: first.actions["mist"], "sweep": plans.OPEN})
    valves = {**kind.valves, word: plans.valve(word)}
    own = evolve(kind, name=word, stages=(first, named, *kind.stages[2:]), valves=valves)
    circuits = {name: evolve(item, type=word) for name, item in PLAN.circuits.items()}
    plan = evolve(PLAN, circuit_types={word: own}, circuits=circuits)
    same(plan, structured_text(plan))
