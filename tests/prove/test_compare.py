"""Two controllers side by side."""

from __future__ import annotations

import attrs

from steadfall.logic.build import build
from steadfall.plan.model import Plan
from steadfall.prove.compare import compare
from steadfall.prove.compared import EQUAL, PARTS
from tests.prove.plans import guarded


def other(plan: Plan, for_ms: int) -> Plan:
    kind = plan.circuit_types["coil"]
    first, *rest = kind.finish
    finish = (attrs.evolve(first, for_ms=for_ms), *rest)
    return attrs.evolve(plan, circuit_types={"coil": attrs.evolve(kind, finish=finish)})


def test_a_plan_equals_itself_for_ever() -> None:
    plan = guarded(shortest_open_ms=50)
    found = compare(plan, build(plan), build(plan), 20)
    assert found.verdict == EQUAL
    assert found.rechecked
    assert found.outputs == ("upper.mist", "upper.sweep", "upper.drain")


def test_a_longer_finish_step_parts_when_the_shorter_one_is_over() -> None:
    plan = guarded(shortest_open_ms=50)
    found = compare(plan, build(plan), build(other(plan, 50)), 30)
    assert found.verdict == PARTS
    assert found.trace is not None
    # Begun at power-up; the first says 40 ms, the second 50 ms, each seen at most a scan of 40 ms later.
    assert 40 <= found.trace.end_ms < 50 + 40
    assert set(found.differing) == {"upper.sweep", "upper.drain"}


def test_an_output_that_only_one_has_is_listed() -> None:
    plan = guarded()
    network = build(plan)
    found = compare(plan, network, attrs.evolve(network, outputs=network.outputs[:-1]), 20)
    assert found.first_only == ("upper.drain",)
    assert found.verdict == EQUAL
