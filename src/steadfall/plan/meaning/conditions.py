"""Every condition of a plan, with what it is for; and a way through its parts.

Rule of this file: whoever must see all conditions takes them from here, so that none is forgotten.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from attrs import frozen

from steadfall.plan.model import Call, Exclusive, Never, Plan, Whenever
from steadfall.plan.model.condition import And, Condition, Held, Not, Or
from steadfall.roles import Role

_DUE = frozenset({Role.DUE})
_OUTPUTS = _DUE | frozenset(
    {Role.COMMAND, Role.STAGE, Role.RUNNING, Role.ALARM, Role.UNACKNOWLEDGED, Role.FIRST_OUT, Role.OUTPUT}
)
_ALARMS = frozenset({Role.ALARM, Role.UNACKNOWLEDGED, Role.FIRST_OUT})
_LAMPS = frozenset({Role.OUTPUT})
_RAMPS = frozenset({Role.RAMP, Role.SET_POINT})
_TESTS = frozenset({Role.IN_TEST, Role.FAILED_TEST})
_CALLS = frozenset({Role.DONE, Role.ON_HOLD}) | _TESTS
_FEEDERS = frozenset({Role.MAIN, Role.PUMP, Role.READY})
# What a condition sees as the scan before left it, by its role; all else as it is in this scan.
SEEN_BEFORE: Mapping[str, Set[Role]] = {
    "permissive": _OUTPUTS | _FEEDERS | _RAMPS | _CALLS | {Role.TRIPPED, Role.IN_HAND},
    "trip": _OUTPUTS | _FEEDERS | _RAMPS | _CALLS | {Role.IN_HAND},
    "hand": _OUTPUTS | _FEEDERS | _RAMPS | _CALLS,
    "reset": _OUTPUTS | _FEEDERS | _RAMPS | _CALLS | {Role.TRIPPED, Role.IN_HAND},
    "ramp": _OUTPUTS | _FEEDERS | _RAMPS | _CALLS,
    "call": _OUTPUTS | _FEEDERS | _CALLS,
    "done": _OUTPUTS | _FEEDERS | _TESTS | {Role.ON_HOLD},
    "hold": _OUTPUTS | _FEEDERS | _TESTS,
    "feeder": _OUTPUTS | _FEEDERS,
    "climb": _OUTPUTS,
    "counter": _ALARMS | _LAMPS | _DUE,
    "alarm": _ALARMS | _LAMPS,
    "output": _LAMPS,
    "requirement": frozenset(),
}


@frozen
class Stated:
    """A condition, the key that holds it, and, in a circuit type, the circuit for which its names are
    resolved.
    """

    key: str
    condition: Condition
    # a key of SEEN_BEFORE
    role: str
    circuit: str | None = None
    owner: str = ""  # the ramp's name


def parts_of(condition: Condition) -> tuple[Condition, ...]:
    """The parts directly below a condition."""
    if isinstance(condition, And | Or):
        return condition.parts
    return (condition.part,) if isinstance(condition, Not | Held) else ()


def walk(condition: Condition) -> Iterator[Condition]:
    """A condition and everything below it."""
    waiting = [condition]
    while waiting:
        part = waiting.pop()
        yield part
        waiting.extend(reversed(parts_of(part)))


def climbs(plan: Plan) -> Iterator[Stated]:
    """The climbs, once for every circuit that uses them; once without a circuit where none does."""
    for kind in plan.circuit_types.values():
        users: list[str | None] = [one.name for one in plan.circuits.values() if one.type == kind.name]
        for stage in kind.stages:
            if stage.climb is not None:
                yield from (Stated("climb", stage.climb, "climb", name) for name in users or [None])


def controller_conditions(plan: Plan) -> Iterator[Stated]:
    """Every condition that the controller evaluates."""
    yield from _shown(plan)
    yield from climbs(plan)
    for ramp in plan.ramps.values():
        yield Stated("when", ramp.when, "ramp", owner=ramp.name)
    for call in plan.calls:
        if isinstance(call, Call):
            yield Stated("when", call.when, "call")
    if plan.done is not None:
        yield Stated("when", plan.done.when, "done")
    if plan.hand is not None:
        yield Stated("while", plan.hand.when, "hand")
    if plan.hold is not None:
        yield Stated("while", plan.hold.when, "hold")
    for main in plan.main_valves.values():
        if main.when is not None:
            yield Stated("open", main.when, "feeder")
    for pump in plan.pumps.values():
        if pump.when is not None:
            yield Stated("run", pump.when, "feeder")
    for permissive in plan.permissives:
        yield Stated("needs", permissive.needs, "permissive")
    for trip in plan.trips:
        yield Stated("when", trip.when, "trip")
        yield Stated("reset", trip.reset, "reset")


def _shown(plan: Plan) -> Iterator[Stated]:
    """Those of alarms, outputs and counters."""
    for alarm in plan.alarms:
        yield Stated("when", alarm.when, "alarm")
    if plan.acknowledge is not None:
        yield Stated("acknowledge", plan.acknowledge, "alarm")
    for output in plan.outputs.values():
        yield Stated("on", output.on, "output")
    for counter in plan.counters.values():
        yield Stated("openings_of" if counter.of_openings else "hours_of", counter.of, "counter")
        yield Stated("reset", counter.reset, "counter")


def requirement_conditions(plan: Plan) -> Iterator[Stated]:
    """Every condition of the requirements."""
    for item in plan.requirements:
        if isinstance(item, Never):
            yield Stated("never", item.condition, "requirement")
        elif isinstance(item, Whenever):
            yield Stated("whenever", item.condition, "requirement")
            yield Stated("then", item.then, "requirement")
        elif isinstance(item, Exclusive):
            yield from (Stated("exclusive", part, "requirement") for part in item.conditions)
