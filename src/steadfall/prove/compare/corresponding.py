"""Which parts of the state of two controllers always go together.

Rule of this file: what might go together is written down, and what a step can break is struck off until
nothing is; what is left holds for ever, by induction. Beside like with like: a stage and the one of its name,
what goes together while both circuits are in it, and what never moves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from attrs import frozen

from steadfall.logic.nodes import Type
from steadfall.prove.compare.compared import SECOND
from steadfall.prove.compare.side_by_side import States
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.kept import SETTLED, STARTED, Part, key_of, last
from steadfall.prove.system.slots import Slot
from steadfall.prove.system.step import Model


@frozen(eq=False)
class Claim:
    """Something that may hold in every scan: before a step, and after it."""

    before: Any
    after: Any


def corresponding(part: Model, budget: Budget, states: States | None = None) -> list[Any]:
    """What always goes together, in symbols of the state before a step; nothing where the budget is
    spent.

    `states`: the names of stages, where they too are to be tried, and what is alike in each.
    """
    claims = [Claim(*(_like(*pair, values) for values in (part.pre, part.post))) for pair in pairs_of(part)]
    claims += [*_unmoved(part), *_begun(part), *_late(part), *_by_stage(part, states or {})]
    start = list(zip(part.state, part.start, strict=True))
    alive = [one for one in claims if terms.is_true(terms.simplify(terms.substitute(one.before, *start)))]
    while alive:
        solver = Solver(part.space)
        solver.add(part.ends, part.allowed, *(one.before for one in alive))
        solver.add(terms.Not(terms.And([one.after for one in alive])))
        answer = solver.ask(budget)
        if answer is Answer.NO:
            return [one.before for one in alive]
        if answer is Answer.OPEN:
            return []
        found = solver.example()
        alive = [one for one in alive if terms.is_true(found.eval(one.after, True))]
    return []


def _unmoved(part: Model) -> Iterator[Claim]:
    """That a value is always the one it begins with, of what goes together with nothing: as of a valve that
    nothing opens, which one of the two asks and the other does not.
    """
    paired = {slot.key for pair in pairs_of(part) for slot in pair}
    for slot in part.slots:
        if slot.part is Part.LAST and slot.key not in paired and _finite(slot):
            first = part.space.value(slot.initial)
            yield Claim(*(values[slot.key] == first for values in (part.pre, part.post)))


def _late(part: Model) -> Iterator[Claim]:
    """That two times that are kept are equal, or both no less than where some clock stops: as far as clocks
    go, one is as good as the other.
    """
    ends = sorted({int(slot.high) for slot in part.slots if slot.part is Part.AGE and slot.high < math.inf})
    for one, other in pairs_of(part):
        if one.part is Part.LAST and part.network.types.get(one.name) is Type.TIME:
            for end in ends:
                both = [[values[slot.key] for slot in (one, other)] for values in (part.pre, part.post)]
                yield Claim(*(terms.Or(a == b, terms.And(a >= end, b >= end)) for a, b in both))


def pairs_of(part: Model) -> Iterator[tuple[Slot, Slot]]:
    """Each part of the first's state that the second has too."""
    keys = {slot.key: slot for slot in part.slots}
    for slot in part.slots:
        other = key_of(slot.part, slot.name + SECOND) if slot.part else ""
        if other in keys:
            yield slot, keys[other]


def _by_stage(part: Model, states: States) -> Iterable[Claim]:
    """That both circuits are in a stage of this name, or neither is; and what is alike while both are."""
    pairs, what = list(pairs_of(part)), part.network.identities
    for name, (first, second) in states.items():
        keys = last(name), last(name + SECOND)
        if any(key not in part.pre for key in keys):
            continue
        own = {row for row, one in what.items() if one.circuit == what[name].circuit and one.circuit}
        inside = [pair for pair in pairs if pair[0].name in own and pair[0].key != keys[0]]
        for state in first:
            if state not in second:
                continue
            places = first.index(state), second.index(state)
            yield Claim(*(terms.And(there) == terms.Or(there) for there in _there(part, keys, places)))
            for pair in inside:
                both = zip(_there(part, keys, places), (part.pre, part.post), strict=True)
                yield Claim(
                    *(terms.Implies(terms.And(there), _like(*pair, values)) for there, values in both)
                )


def _there(part: Model, keys: tuple[str, str], places: tuple[int, int]) -> list[list[Any]]:
    """Whether each of the two is in its stage, before a step and after it."""
    both = list(zip(keys, places, strict=True))
    return [[values[key] == place for key, place in both] for values in (part.pre, part.post)]


def _begun(part: Model) -> Iterator[Claim]:
    """Of parts that begin otherwise in the two, that they are equal from the first scan on: as of a setting,
    of which no scan asks how it began. Before the first scan all is as it begins.
    """
    apart = [
        (one, two) for one, two in pairs_of(part) if one.initial != two.initial and one.part is not Part.AGE
    ]
    if apart:
        first = [[values[STARTED], _as_begun(part, values)] for values in (part.pre, part.post)]
        yield Claim(*map(terms.Or, first))
    for pair in apart:
        later = [[terms.Not(values[STARTED]), _like(*pair, values)] for values in (part.pre, part.post)]
        yield Claim(*map(terms.Or, later))


def _as_begun(part: Model, values: Mapping[str, Any]) -> Any:
    """All that a scan may ask of the one before is as it is before the first."""
    rows = [slot for slot in part.slots if slot.key not in (STARTED, SETTLED)]
    return terms.And([values[slot.key] == part.space.value(slot.initial) for slot in rows if _finite(slot)])


def _finite(slot: Slot) -> bool:
    return isinstance(slot.initial, bool) or math.isfinite(slot.initial)


def _like(one: Slot, other: Slot, values: Mapping[str, Any]) -> Any:
    """Whether two parts of the state are equal; a clock that counts further than the other is, once that one
    stops, and so are two that begin far off, each at its own great number.
    """
    equal, least = values[one.key] == values[other.key], min(one.high, other.high)
    if least == math.inf and one.initial != other.initial:
        least = min(one.initial, other.initial)
    elif one.high == other.high:
        return equal
    if one.part is not Part.AGE:
        return equal
    return terms.Or(equal, terms.And(values[one.key] >= int(least), values[other.key] >= int(least)))
