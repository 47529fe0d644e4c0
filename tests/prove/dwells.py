"""Plans with a plain fault that shows only after long stays in a stage. Every number is invented."""

from __future__ import annotations

from typing import Any

import attrs

from steadfall.plan.model import Call, FinishStep, Never, Plan, Stage
from steadfall.plan.model.condition import And, Not, Signal
from tests.logic import plans as small

UNSWEPT = Never(And((Signal("upper.mist"), Not(Signal("upper.sweep")))), "")
DOSE = small.dose(400, 3600)
SWEPT = (
    small.finish("blow_out", 20_000, sweep=small.OPEN),
    small.finish("emptying", 60_000, drain=small.OPEN),
)


def _plan(stages: tuple[Stage, ...], steps: tuple[FinishStep, ...], **times: Any) -> Plan:
    valves = (small.valve("mist", **times), small.SWEEP, small.DRAIN)
    kind = small.circuit_type(stages, steps, valves, cold_start="finish")
    made = small.plan(kind, calls=(Call(small.on("full_call"), stages[-1].name, ("upper",)),))
    return attrs.evolve(made, requirements=(UNSWEPT,))


def kept_open(stays_ms: int, shortest_open_ms: int = 300) -> Plan:
    """A dose that the shortest opening keeps open into a stage that shuts its sweep."""
    dosing = small.stage("dosing", small.after(stays_ms), sweep=small.OPEN, mist=DOSE)
    stages = (dosing, small.stage("draining", drain=small.OPEN))
    return _plan(stages, SWEPT, shortest_open_ms=shortest_open_ms)


def kept_open_at_the_second(stays_ms: int) -> Plan:
    """The same behind two stays, of which the first ends between doses."""
    dosing = small.stage("dosing", small.after(stays_ms), sweep=small.OPEN)
    more = small.stage("more", small.after(stays_ms), sweep=small.OPEN, mist=small.dose(900, 6750))
    stages = (dosing, more, small.stage("draining", drain=small.OPEN))
    return _plan(stages, SWEPT, shortest_open_ms=300)


def withdrawn(stays_ms: int) -> Plan:
    """A call that ends within a dose of the second stage, where the first finish step has no sweep."""
    airing = small.stage("airing", small.after(stays_ms), sweep=small.OPEN)
    stages = (airing, small.stage("dosing", sweep=small.OPEN, mist=DOSE))
    return _plan(stages, SWEPT[::-1], shortest_open_ms=300)


def too_early(stays_ms: int) -> Plan:
    """A sweep that waits out its shortest pause behind a stage that doses it."""
    dosing = small.stage("dosing", small.after(stays_ms), sweep=DOSE)
    stages = (dosing, small.stage("wet", sweep=small.OPEN, mist=small.OPEN))
    made = _plan(stages, SWEPT)
    kind = made.circuit_types["coil"]
    valves = {**kind.valves, "sweep": small.valve("sweep", small.AIR, shortest_shut_ms=500)}
    return attrs.evolve(made, circuit_types={"coil": attrs.evolve(kind, valves=valves)})
