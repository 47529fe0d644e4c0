"""All goals of a circuit in one system of single scans, in which what is always the same is one.

Rule of this file: single scans are enough, since every run is one of single scans; so no long delays, and
nothing about what is settled.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from functools import cached_property
from typing import Any

from attrs import field, frozen

from steadfall.prove.solver import terms
from steadfall.prove.system.dues import dues
from steadfall.prove.system.kept import STARTED, Part
from steadfall.prove.system.merged import Same, same_parts
from steadfall.prove.system.slots import Slot
from steadfall.prove.system.step import Frame, Model
from steadfall.roles import Role

Bits = int  # parts of the state, one bit for each slot that is kept


MANY = 24  # values of a part; one of more is taken for a time, of which the distance to others counts


def measured(slot: Slot) -> bool:
    """Whether it is a clock or another number of many values, and not what tells modes apart."""
    return slot.clock or not (isinstance(slot.initial, bool) or slot.high - slot.low <= MANY)


@frozen(eq=False, slots=False)
class Joint:
    """A model of single scans, and which parts of its state are kept."""

    model: Model
    same: Same = field()

    @same.default
    def _same(self) -> Same:
        return same_parts(self.model, watching=self.model.cut is None)

    claims: Sequence[Any] = ()  # over the state before a scan: what is taken to be so besides

    @cached_property
    def slots(self) -> Sequence[Slot]:
        """The parts that are kept: what is plain first, then the clocks."""
        return kept(self.model, self.same)

    @cached_property
    def unsaid(self) -> frozenset[str]:
        """The parts of which no lemma speaks: what a signal that is set free was before."""
        free = {row.name for row in self.model.network.inputs if row.holds is None}
        return frozenset(slot.key for slot in self.slots if measured(slot) and slot.name in free)

    @cached_property
    def settings(self) -> frozenset[str]:
        """The parts that are times in use: what is proved of them alone is their ends."""
        known = self.model.network.identities
        found = (slot for slot in self.slots if slot.part is Part.LAST and measured(slot))
        return frozenset(slot.key for slot in found if known[slot.name].role is Role.IN_USE)

    @cached_property
    def dues(self) -> Mapping[str, Set[int]]:
        """The times that each of them is compared with, as itself or as what is the same."""
        found: dict[str, set[int]] = {}
        for key, times in dues(self.model.network).items():
            found.setdefault(self.same.get(key, key), set()).update(times)
        return found

    @cached_property
    def pre(self) -> Sequence[Any]:
        """The symbols of the kept parts."""
        return [self.model.pre[slot.key] for slot in self.slots]

    @cached_property
    def post(self) -> Sequence[Any]:
        """What a scan gives each of them."""
        return [self.one(self.model.post[slot.key]) for slot in self.slots]

    @cached_property
    def _pairs(self) -> Sequence[tuple[Any, Any]]:
        pre = self.model.pre
        return [(pre[key], pre[to]) for key, to in self.same.items()]

    def one(self, term: Any) -> Any:
        """A term in which what is the same is one."""
        return terms.substitute(term, *self._pairs) if self._pairs else term

    @cached_property
    def always(self) -> Sequence[Any]:
        """What is so of itself, and what is taken to be so."""
        return [*always(self.model, self.same), *map(self.one, self.claims)]

    @cached_property
    def _numbers(self) -> dict[int, int]:
        return {symbol.get_id(): 1 << place for place, symbol in enumerate(self.pre)}

    @cached_property
    def _found(self) -> dict[int, int]:
        return {}

    @cached_property
    def _steps(self) -> Sequence[Bits]:
        """The parts that each part of the next state depends on."""
        return [terms.symbols(term, self._numbers, self._found) for term in self.post]

    def parts(self, term: Any) -> Bits:
        """The parts that a term speaks of."""
        return terms.symbols(term, self._numbers, self._found)

    @cached_property
    def _cones(self) -> dict[Bits, Bits]:
        return {}

    def cone(self, parts: Bits) -> Bits:
        """Some parts and all that they ever depend on."""
        if parts not in self._cones:
            found, todo = parts, parts
            while todo:
                place = (todo & -todo).bit_length() - 1
                todo &= todo - 1
                more = self._steps[place] & ~found
                found |= more
                todo |= more
            self._cones[parts] = found
        return self._cones[parts]


def kept(about: Frame, same: Same) -> list[Slot]:
    """The parts that are kept: what is plain first, then the clocks."""
    return sorted((slot for slot in about.slots if slot.key not in same), key=measured)


def always(about: Frame, same: Same) -> list[Any]:
    """What is so of itself: what is the same, and how it all is before the first scan."""
    pre, space = about.pre, about.space
    equal = [pre[key] == pre[to] for key, to in same.items()]
    begin = [
        pre[slot.key] == space.value(slot.initial)
        for slot in kept(about, same)
        if slot.key != STARTED and not slot.spared
    ]
    return [*equal, terms.Or([pre[STARTED], terms.And(begin)])] if begin else equal


def places(parts: Bits) -> Iterable[int]:
    """The places of some parts."""
    while parts:
        yield (parts & -parts).bit_length() - 1
        parts &= parts - 1
