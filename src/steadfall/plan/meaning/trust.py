"""What a climb may trust: a sensor that is out of its range holds it, unless the plan says otherwise.

Rule of this file: one place says which sensors a climb looks at and what becomes of it when one is bad. A
climb that speaks of a sensor out of range itself has said what then; so has an input that goes on with a
value.
"""

from __future__ import annotations

from attrs import evolve

from steadfall.plan.meaning.conditions import controller_conditions, parts_of, walk
from steadfall.plan.meaning.names import resolve, signals
from steadfall.plan.model import Input, Plan, Stage, Trip
from steadfall.plan.model.condition import And, Compare, Condition, Held, Not, Or, OutOfRange
from steadfall.roles import Role
from steadfall.source import Marks

_OF_RAMP = (Role.RAMP, Role.SET_POINT)


def climb_of(plan: Plan, circuit: str, stage: Stage) -> Condition | None:
    """When a stage of a circuit may give way to the next: as the plan says, and only on sensors that read."""
    return None if stage.climb is None else _kept(stage.climb, _holding(plan, circuit, stage.climb))


def sensors_of(plan: Plan, circuit: str, stage: Stage) -> tuple[Input, ...]:
    """The sensors that hold a climb while they are out of range."""
    climb = stage.climb
    if climb is None:
        return ()
    found = _holding(plan, circuit, climb)
    return tuple(
        plan.inputs[name]
        for name in dict.fromkeys(name for part in walk(climb) for name in _looks(part, found))
    )


def trusted(plan: Plan) -> frozenset[str]:
    """The measured inputs of which the controller asks whether their sensors are good."""
    known = signals(plan)
    goes_on = {item.name for item in plan.inputs.values() if item.when_bad == "go on"}
    climbs = {
        item.name
        for circuit in plan.circuits
        for stage in plan.type_of(circuit).stages
        for item in sensors_of(plan, circuit, stage)
    }
    asked = {
        resolve(part.name, stated.circuit, known) or ""
        for stated in controller_conditions(plan)
        for part in walk(stated.condition)
        if isinstance(part, OutOfRange)
    }
    return frozenset((goes_on | climbs | asked) & plan.inputs.keys())


def sensor_trips(plan: Plan) -> tuple[Trip, ...]:
    """The trips of the inputs that trip when they are bad."""
    return tuple(one for item in plan.inputs.values() if (one := sensor_trip(item)))


def sensor_trip(item: Input) -> Trip | None:
    """The trip of an input that trips when it is bad."""
    if item.when_bad != "trip" or item.reset is None:
        return None
    mark = item.at.of("when_bad")
    return Trip(f"{item.name} bad", OutOfRange(item.name, mark), item.reset, at=Marks(mark, item.at.keys))


Seen = dict[str, str]  # as a climb calls it -> input


def _holding(plan: Plan, circuit: str, climb: Condition) -> Seen:
    """The inputs that hold a climb, by the names of what it compares."""
    known, found = signals(plan), dict[str, str]()
    for part in walk(climb):
        full = resolve(part.name, circuit, known) if isinstance(part, Compare) else None
        if isinstance(part, Compare) and full is not None:
            of_ramp = known[full].role in _OF_RAMP
            found[part.name] = plan.ramps[known[full].identity.of].of if of_ramp else full
    said = {resolve(part.name, circuit, known) for part in walk(climb) if isinstance(part, OutOfRange)}
    return {
        word: name
        for word, name in found.items()
        if name in plan.inputs and name not in said and plan.inputs[name].when_bad != "go on"
    }


def _kept(climb: Condition, found: Seen) -> Condition:
    """A condition that holds only while what it looks at reads, and counts no time that it does not."""
    if isinstance(climb, Held):
        return evolve(climb, part=_kept(climb.part, found))
    inner: Condition = climb
    if isinstance(climb, And | Or):
        inner = evolve(climb, parts=tuple(_timed(part, found) for part in climb.parts))
    names = dict.fromkeys(name for part in walk(climb) for name in _looks(part, found))
    reads = tuple(Not(OutOfRange(name, climb.mark), climb.mark) for name in names)
    if not reads:
        return inner
    return And((*inner.parts, *reads) if isinstance(inner, And) else (inner, *reads), climb.mark)


def _timed(part: Condition, found: Seen) -> Condition:
    """A part in which every time that is waited for is one in which the sensors read."""
    if isinstance(part, Held):
        return _kept(part, found)
    if isinstance(part, And | Or):
        return evolve(part, parts=tuple(_timed(one, found) for one in parts_of(part)))
    return part


def _looks(part: Condition, found: Seen) -> tuple[str, ...]:
    return (found[part.name],) if isinstance(part, Compare) and part.name in found else ()
