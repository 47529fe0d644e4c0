"""Difference bounds per mode: how far any two clocks can be apart while something is so.

Rule of this file: a mode is one or two facts about the state (a signal is true, the stage is 3). For each
mode the bounds on clock - clock begin at what runs of the controller have shown; whatever a step can exceed
is raised to the next constant of the network, or given up. What is left holds before the first scan and is
kept by every step.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import Any

import numpy as np
from attrs import define, field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.logic.types import walk
from steadfall.prove.runs.rig import plain_rig
from steadfall.prove.runs.stimuli import samples
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.kept import SETTLED, Part
from steadfall.prove.system.meaning import least
from steadfall.prove.system.slots import Slot
from steadfall.prove.system.step import Model

NAME, GOAL = "difference bounds", "goal"
SEEDS, SCANS = range(18), 6000
_MOST_FACTS, _MOST_BOUNDS, _MOST_RAISES = 40, 6000, 3
_FEWEST = 100  # samples of a mode; fewer tell too little


@frozen(eq=False)
class Fact:
    """One thing that may be so of the state."""

    column: Any  # of the samples: is it so
    key: str
    value: int
    same: bool = True  # the state has this value; else it has another

    def so(self, state: dict[str, Any]) -> Any:
        """The fact as a term over a state."""
        symbol = state[self.key]
        if terms.is_bool(symbol):
            return symbol if self.value else terms.Not(symbol)
        return symbol == self.value if self.same else terms.Not(symbol == self.value)

    def holds(self, values: dict[str, int]) -> bool:
        """Whether it is so of a known state."""
        return (values[self.key] == self.value) == self.same


@define(eq=False)
class Bound:
    """While its facts are so, clock `left` - clock `right` is at most so many ms; place -1 is the constant
    0.
    """

    facts: tuple[int, ...]
    left: int
    right: int
    most: int
    raises: int = 0


@define(eq=False)
class Search:
    """The bounds that still stand, with the symbols that switch them on in the solver."""

    model: Model
    facts: list[Fact]
    clocks: list[Slot]
    grid: list[int]
    bounds: list[Bound] = field(factory=list)

    def clock(self, place: int, state: dict[str, Any]) -> Any:
        """A clock; place -1 is the constant 0."""
        if place < 0:
            return self.model.space.value(0)
        return state[self.clocks[place].key]

    def reading(self, place: int, values: dict[str, int]) -> int:
        """The same of a known state."""
        if place < 0:
            return 0
        return values[self.clocks[place].key]

    def term(self, bound: Bound, state: dict[str, Any]) -> Any:
        """A bound as a term over a state."""
        ends = [self.clock(place, state) for place in (bound.left, bound.right)]
        held = [self.facts[place].so(state) for place in bound.facts]
        limit = ends[0] - ends[1] <= bound.most
        return terms.Implies(terms.And(held), limit) if held else limit


def invariant(model: Model, goal: Any, budget: Budget) -> Any | None:
    """Bounds that every step keeps and that exclude the goal, as one term over the state; None if there are
    none.

    The clocks of the model stop at their limits (`step.model`, `ended`): runs of the controller show no
    others.
    """
    search = _begin(model)
    if search is None:
        return None
    needed = Settling(search, goal, budget).run()
    if needed is None:
        return None
    kept = [search.term(bound, dict(model.pre)) for bound in needed]
    return model.space.all_of(kept)


def of_unbounded(found: Any, model: Model, ended: Model) -> Any:
    """An invariant over clocks with ends, said of clocks without: each counts as no more than its limit."""
    ends = {slot.key: slot.high for slot in ended.slots}
    free = [slot.key for slot in model.slots if slot.clock and slot.high != ends[slot.key]]
    return terms.substitute(found, *((ended.pre[key], least(ended.pre[key], int(ends[key]))) for key in free))


def _begin(model: Model) -> Search | None:
    clocks = [slot for slot in model.slots if slot.clock]
    plain = [slot for slot in model.slots if slot.part is Part.LAST and not slot.clock]
    if not clocks:
        return None
    events = {
        row.name: row.node.event for row in model.network.assignments if isinstance(row.node, nodes.Since)
    }
    zeroed = [slot for slot in clocks if slot.part is Part.AGE]
    columns = [_column(slot) for slot in (*plain, *clocks)] + [events[_column(slot)] for slot in zeroed]
    seen = samples(plain_rig(model.network, model.longest_ms), columns, SEEDS, SCANS)
    for place, slot in enumerate(zeroed):  # the next scan counts from 0 where the event has just been
        seen[:, len(plain) + clocks.index(slot)] *= 1 - seen[:, len(plain) + len(clocks) + place]
    seen = seen[:, : len(plain) + len(clocks)]
    first = np.array([[int(slot.initial) for slot in (*plain, *clocks)]], dtype=np.int64)
    seen = np.unique(np.concatenate([first, seen]), axis=0)
    facts = [*_facts(model, plain, seen), *_full(clocks, seen[:, len(plain) :])]
    search = Search(model, facts, clocks, _grid(model))
    search.bounds = _mined(search, seen[:, len(plain) :])
    return search


def _column(slot: Slot) -> str:
    return f"{slot.name}.ET" if slot.part is Part.ELAPSED else slot.name


def _facts(model: Model, plain: Sequence[Slot], seen: Any) -> Iterable[Fact]:
    count = 0
    for place, slot in enumerate(plain):
        symbol = model.pre[slot.key]
        values = [1, 0] if terms.is_bool(symbol) else [int(value) for value in np.unique(seen[:, place])]
        for value in values:
            count += 1
            if count > _MOST_FACTS:
                return
            yield Fact(seen[:, place] == value, slot.key, value)


def _full(clocks: Sequence[Slot], seen: Any) -> Iterable[Fact]:
    """Whether a clock has run to its end; past it, it keeps no distance from others."""
    for place, slot in enumerate(clocks):
        full = seen[:, place] == int(slot.high)
        yield Fact(full, slot.key, int(slot.high))
        yield Fact(~full, slot.key, int(slot.high), same=False)


def _grid(model: Model) -> list[int]:
    """The differences at which a bound may come to rest: of any two constants of the network, a scan more or
    less.
    """
    times = {0, *_times(model.network), *(int(slot.high) for slot in model.slots if slot.clock)}
    longest = model.longest_ms
    found = {
        a - b + c
        for a in times
        for b in times
        for c in (0, 1, -1, longest, -longest, longest - 1, 2 * longest)
    }
    return sorted(found)


def _times(network: Network) -> set[int]:
    return {
        int(node.value)
        for row in network.assignments
        for node in walk(row.node)
        if isinstance(node, nodes.Constant) and node.type is Type.TIME
    }


def _mined(search: Search, clocks: Any) -> list[Bound]:
    """The bounds that every sample keeps, the general ones first; what a more general mode says is not
    repeated.
    """
    found: list[Bound] = list(_never_together(search))
    known: dict[tuple[tuple[int, ...], int, int], int] = {}
    places = range(len(search.clocks))
    pairs = [(i, j) for i in (*places, -1) for j in (*places, -1) if i != j]
    modes: list[tuple[int, ...]] = [(), *((place,) for place in range(len(search.facts)))]
    modes += [
        pair
        for pair in combinations(range(len(search.facts)), 2)
        if search.facts[pair[0]].key != search.facts[pair[1]].key
    ]
    differences = {pair: _side(clocks, pair[0]) - _side(clocks, pair[1]) for pair in pairs}
    for mode in modes:
        rows = _rows(search, mode, len(clocks))
        if rows.sum() < _FEWEST:
            continue
        for pair in pairs:
            most = _rest(search.grid, int(differences[pair][rows].max()))
            general = [known[one, *pair] for one in _within(mode) if (one, *pair) in known]
            if most is None or most >= min([_trivial(search, pair), *general]):
                continue
            known[mode, *pair] = most
            found.append(Bound(mode, *pair, most))
            if len(found) >= _MOST_BOUNDS:
                return found
    return found


def _never_together(search: Search) -> Iterable[Bound]:
    """Facts that no sample shows together, as bounds that cannot be kept: 0 - 0 at most -1."""
    apart: set[tuple[int, int]] = set()
    many = range(len(search.facts))
    for one, two in combinations(many, 2):
        a, b = search.facts[one], search.facts[two]
        if not np.any(a.column & b.column):
            apart.add((one, two))
            if a.key != b.key:
                yield Bound((one, two), -1, -1, -1)
    for three in combinations(many, 3):
        if any(pair in apart for pair in combinations(three, 2)):
            continue
        a, b, c = (search.facts[place] for place in three)
        if not np.any(a.column & b.column & c.column):
            yield Bound(three, -1, -1, -1)


def _rows(search: Search, mode: tuple[int, ...], count: int) -> Any:
    rows = np.ones(count, dtype=bool)
    for place in mode:
        rows &= search.facts[place].column
    return rows


def _side(clocks: Any, place: int) -> Any:
    return 0 if place < 0 else clocks[:, place]


def _within(mode: tuple[int, ...]) -> list[tuple[int, ...]]:
    return [()] if len(mode) == 1 else [(), *((place,) for place in mode)] if mode else []


def _trivial(search: Search, pair: tuple[int, int]) -> float:
    """What the ends of the two clocks say anyway."""
    high = 0.0 if pair[0] < 0 else search.clocks[pair[0]].high
    low = 0.0 if pair[1] < 0 else search.clocks[pair[1]].low
    return high - low


def _rest(grid: Sequence[int], value: int) -> int | None:
    place = int(np.searchsorted(grid, value))
    return grid[place] if place < len(grid) else None


class Settling:
    """Asks for each bound that is needed what it rests on; what a step can exceed is raised or given up."""

    def __init__(self, search: Search, goal: Any, budget: Budget) -> None:
        self.search, self.goal, self.budget = search, goal, budget
        model = search.model
        self.solver = Solver(model.space)
        self.solver.add(model.ends, model.allowed)
        self.after = {
            slot.key: terms.Const(f"{slot.key}'", model.pre[slot.key].sort()) for slot in model.slots
        }
        self.solver.add(*(self.after[key] == model.post[key] for key in self.after if key != SETTLED))
        self.active: dict[str, Bound] = {}
        self.rests: dict[str, tuple[str, ...]] = {}  # what each needed bound rests on
        self.number = 0
        for bound in search.bounds:
            self.add(bound)

    def add(self, bound: Bound) -> None:
        """One more bound that may be relied on."""
        self.number += 1
        name = f"holds!{self.number}"
        self.solver.add(
            terms.Implies(self._switch(name), self.search.term(bound, dict(self.search.model.pre)))
        )
        self.active[name] = bound

    def _switch(self, name: str) -> Any:
        return self.search.model.space.boolean(name)

    def run(self) -> list[Bound] | None:
        """The bounds that exclude the goal and that every step keeps; None where they do not or the budget
        is spent.
        """
        todo = [GOAL]
        while todo:
            name = todo.pop()
            if name != GOAL and name not in self.active:
                continue
            core = self._ask(name)
            if core is None:
                return None
            if isinstance(core, dict):
                if name == GOAL:
                    return None
                gone = self._raise(core)
                todo += [
                    one for one, rests in self.rests.items() if gone.intersection(rests) and one not in gone
                ]
                todo += [name] if name in self.active else []
                continue
            self.rests[name] = core
            todo += [one for one in core if one not in self.rests and one not in todo]
        return self._needed()

    def _needed(self) -> list[Bound]:
        found: dict[str, None] = {}
        todo = list(self.rests[GOAL])
        while todo:
            name = todo.pop()
            if name not in found:
                found[name] = None
                todo += self.rests[name]
        return [self.active[name] for name in found]

    def _ask(self, name: str) -> tuple[str, ...] | dict[str, int] | None:
        """What a bound (or the goal) rests on; or a state after a step that exceeds it; None where the
        budget is spent.
        """
        self.solver.push()
        broken = self.goal if name == GOAL else terms.Not(self.search.term(self.active[name], self.after))
        self.solver.add(broken)
        answer = self.solver.ask(self.budget, *(self._switch(one) for one in self.active))
        found: tuple[str, ...] | dict[str, int] | None = None
        if answer is Answer.NO:
            found = tuple(self.solver.core())
        elif answer is Answer.YES:
            found = _values(self.solver.example(), self.after, self.search)
        self.solver.pop()
        return found

    def _raise(self, values: dict[str, int]) -> set[str]:
        """Every bound that a state exceeds rests at the next constant above it, or is given up."""
        search, gone = self.search, set()
        for name, bound in list(self.active.items()):
            left, right = (search.reading(place, values) for place in (bound.left, bound.right))
            held = all(search.facts[place].holds(values) for place in bound.facts)
            if not held or left - right <= bound.most:
                continue
            del self.active[name]
            self.rests.pop(name, None)
            gone.add(name)
            most = _rest(search.grid, left - right)
            trivial = _trivial(search, (bound.left, bound.right))
            raised = bound.left != bound.right and most is not None and most < trivial
            if raised and most is not None and bound.raises < _MOST_RAISES:
                self.add(Bound(bound.facts, bound.left, bound.right, most, bound.raises + 1))
        return gone


def _values(found: Any, after: dict[str, Any], search: Search) -> dict[str, int]:
    values: dict[str, int] = {}
    for slot in search.model.slots:
        value = found.eval(after[slot.key], model_completion=True)
        values[slot.key] = int(terms.is_true(value)) if terms.is_bool(value) else value.as_long()
    return values
