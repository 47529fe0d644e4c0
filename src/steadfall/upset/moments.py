"""When a failure may begin: at the start, half-way through every stage, at every change of stage, in the
finish.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from steadfall.plan.model import Plan
from steadfall.predict.outcome.result import Prediction
from steadfall.roles import command
from steadfall.upset.failures import Failure, plan_circuit

SHORTEST_MS = 2_000  # of a stage that is worth a moment of its own half-way


@frozen
class When:
    """A moment by what happens then: it is another time on another grid."""

    words: str  # "at the start", "in soaking", "as soaking begins"
    time_ms: int


def moments(nominal: Prediction, circuit: str) -> tuple[When, ...]:
    """The moments of a circuit in the run in which nothing fails."""
    return tuple(_moments(nominal, circuit))


def _moments(nominal: Prediction, circuit: str) -> Iterator[When]:
    own = [one for one in nominal.moments if one.circuit == circuit]
    yield When("at the start", 0)
    seen: set[str] = set()
    ends = [one.time_ms for one in own[1:]] + [nominal.end_ms]
    rows = list(zip(own, ends, strict=True))
    # A finish after power-up, until the first stage is ready: the one at the end has the same name.
    stages = {stage.name for stage in nominal.plan.type_of(circuit).stages}
    first = next((one.time_ms for one in own if one.stage in stages), 0)
    for one, end in rows:
        whole = end - one.time_ms >= SHORTEST_MS
        if one.time_ms < first and one.stage != "idle" and whole:
            yield When(f"in {one.stage} after power-up", (one.time_ms + end) // 2)
        if one.time_ms < first or one.stage == "idle" or one.stage in seen:
            continue
        seen.add(one.stage)
        if one.time_ms > first or first >= SHORTEST_MS:
            yield When(f"as {one.stage} begins", one.time_ms)
        if whole:
            yield When(f"in {one.stage}", (one.time_ms + end) // 2)


def circuit_of(plan: Plan, failure: Failure) -> str:
    """The circuit by whose stages the moments of a failure are counted: its own, else the first."""
    if failure.of in plan.circuits:
        return failure.of
    for circuit in plan.circuits:
        if failure.of in {command(circuit, valve).name for valve in plan.type_of(circuit).valves}:
            return circuit
    own = plan_circuit(plan, failure.of) if failure.of in plan.inputs else ""
    return own or next(iter(plan.circuits))
