"""From where something of two controllers differs, within or at an output, further: a difference spreads.

Rule of this file: a difference within may last no longer than a valve's shortest time. So from each first
moment of one every input in turn is given another value, and nothing else happens for a while; from where
something differs that seldom did, first. What flashes is asked after by what lets it flash, since a flash
cuts every jump short.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Generator, Hashable, Iterator, Mapping, Sequence
from heapq import heappop, heappush
from typing import Any

import numpy as np
from attrs import define, evolve, field

from steadfall.logic.cone import cone
from steadfall.logic.forms import any_of, different
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import TIMERS, Read, Since, Type
from steadfall.prove.compare.compared import SECOND
from steadfall.prove.compare.side_by_side import PARTED, Pair, parted
from steadfall.prove.runs.courses import Course, quiet
from steadfall.prove.runs.far import Search, Spot, run_of
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.system.step import model
from steadfall.roles import HELPER, Role, of_output
from steadfall.runs.run import Run, turns

STEPS = 2_000_000  # of all runs together, and for what is left of lamps
LAMPS = 400_000
WHILE = 60  # steps after an input has changed
PULSE = 2  # steps until one that is only touched is as it was: who has pressed a button lets it go
ALIKE, MOST = 2, 400  # moments with the same differences from which it goes on; of all
SHOWN = 3000  # scans after a way, in which lamps come to differ too
PLAIN = (Type.BOOL, Type.INT)


def spreading(pair: Pair, names: Sequence[str], steps: int = STEPS) -> Iterator[tuple[Rig, Run]]:
    """Runs on which more and more of these outputs part; last the lamps that look at clocks of their own,
    which cut jumps short.
    """
    whole = rig(pair.usual, cone(pair.whole, list(map(parted, names))))
    what, left = pair.first.identities, set(names)
    valves = [name for name in names if what.get(name, HELPER).role is not Role.OUTPUT]
    known = _clocks(pair, valves)
    soon = [name for name in names if name in valves or _clocks(pair, [name]) <= known]
    for group, many in ((soon, steps), ([name for name in names if name not in soon], LAMPS)):
        for of, run in _spreading(pair, [name for name in group if name in left], many):
            longer = _as_usual(whole, run_of(of, run))
            scans = whole.fast.first(longer, list(map(parted, names)))
            left -= {name for name, scan in zip(names, scans, strict=True) if scan >= 0}
            yield whole, longer


def _spreading(pair: Pair, names: Sequence[str], steps: int) -> Iterator[tuple[Rig, Spot]]:
    goals = _goals(pair, names)
    if not goals:
        return
    part = _watched(pair, goals)
    of = rig(pair.usual, part)
    own = [name for name in _both(pair.whole) if parted(name) in part.types and name not in goals]
    columns = list(map(parted, (*goals, *own)))
    system = model(part, pair.longest_ms, single=True)
    search = Spreading.of(of, system, PARTED, power_cut=False, steps=steps, also=columns)
    search.open = set(range(len(goals)))
    yield from ((of, spot) for spot in search.ways())


def _clocks(pair: Pair, names: Sequence[str]) -> set[str]:
    """The clocks on which some outputs depend, or what lets them flash."""
    goals = _goals(pair, names)
    part = cone(pair.whole, [side for name in goals for side in (name, name + SECOND)])
    return {row.name for row in part.assignments if isinstance(row.node, (Since, *TIMERS))}


def _goals(pair: Pair, names: Sequence[str]) -> list[str]:
    """What is looked for: the outputs, or what lets them flash."""
    types = pair.whole.types
    flashing = {name: of_output(Role.WANTED, name).name for name in names}
    there = {name for name, one in flashing.items() if {one, one + SECOND} <= types.keys()}
    return list(dict.fromkeys(flashing[name] if name in there else name for name in names))


def _both(network: Network) -> list[str]:
    """What both remember, that is true or false or whole."""
    types = network.types
    return [
        name
        for name in dict.fromkeys(network.remembered)
        if types.get(name) in PLAIN and types.get(name + SECOND) is types[name]
    ]


def _watched(pair: Pair, goals: Sequence[str]) -> Network:
    """What the goals depend on, with a signal for each part of it that tells whether it differs."""
    known = {row.name for row in pair.whole.assignments}
    missing = [name for name in goals if parted(name) not in known]
    whole = evolve(
        pair.whole, assignments=(*pair.whole.assignments, *(_apart(pair.whole, name) for name in missing))
    )
    part = cone(whole, list(map(parted, goals)))
    there = {row.name for row in part.assignments}
    within = [name for name in _both(part) if {name, name + SECOND} <= there and parted(name) not in there]
    rows = [_apart(whole, name) for name in within]
    any_goal = any_of(Read(parted(name), Type.BOOL) for name in goals)
    return evolve(
        part, assignments=(*part.assignments, *rows, Assignment(PARTED, Type.BOOL, any_goal, False))
    )


def _apart(network: Network, name: str) -> Assignment:
    kind = network.types[name]
    return Assignment(parted(name), Type.BOOL, different(Read(name, kind), Read(name + SECOND, kind)), False)


def _as_usual(of: Rig, run: Run) -> Run:
    """A run with all that it says nothing of as usual, and so long as what flashes is seen to."""
    values: Mapping[str, float] = {**of.favoured, **of.ends}
    missing = [row for row in of.network.inputs if row.name not in run.inputs and row.name in values]
    first = {row.name: turns([(0, values[row.name])], row.type) for row in missing}
    more = Run(np.full(SHOWN, of.longest_ms, dtype=np.int64), {})
    return evolve(run, inputs={**first, **run.inputs}).then(more)


Moment = tuple[Spot, Course, int]  # from a spot, so many steps of a course


@define(eq=False)
class Spreading(Search):
    """Runs that jump, and go on from where something differs."""

    open: set[int] = field(factory=set)  # goals that have not parted, by their column
    moments: list[tuple[int, int, int, Moment]] = field(factory=list)  # from which it has still to go on
    alike: Counter[bytes] = field(factory=Counter)
    often: Counter[Hashable] = field(factory=Counter)  # what differed in moments, and where
    taken: int = 0

    def found(self, spot: Spot, made: Course, rows: Any) -> Iterator[Spot]:
        """Ways to goals that have not parted yet; from where a difference is new it goes on."""
        begin = self.goal + 1
        for at in sorted(self.open):
            hits = np.flatnonzero(rows[:, begin + at])
            if len(hits):
                self.open.discard(at)
                yield self.after(spot, made.begun(int(hits[0]) + 1))
        if not self.open:
            self.left = 0
        before = b""
        for step in np.flatnonzero(rows[:, begin:-1].any(axis=1)).tolist():
            here = rows[step, :-1].tobytes()
            if here != before and self.alike[here] < ALIKE:
                self._note_moment(rows[step, :-1], (spot, made, step + 1))
            before = here

    def _note_moment(self, row: Any, moment: Moment) -> None:
        """Keeps a moment by what of it differs that most seldom did, at all and at such a place."""
        here, place = row.tobytes(), row[: self.goal].tobytes()
        self.alike[here] += 1
        differs = np.flatnonzero(row[self.goal + 1 :]).tolist()
        rare = min(self.often[one] for one in differs)
        rare_here = min(self.often[place, one] for one in differs)
        self.often.update(differs)
        self.often.update((place, one) for one in differs)
        heappush(self.moments, (rare, rare_here, self.alike.total(), moment))

    def played(self, spot: Spot, made: Course) -> Generator[Spot, None, tuple[Spot, int]]:
        """Plays a course, then goes on from the moments that it has come to, and from those after these."""
        ended = yield from Search.played(self, spot, made)
        while self.moments and self.taken < MOST and self.left > 0:
            *_, (begun, course_, steps) = heappop(self.moments)
            moment = self.after(begun, course_.begun(steps))
            self.taken += 1
            for one in self._changes(moment):
                if self.left > 0:
                    yield from Search.played(self, moment, one)
        return ended

    def _changes(self, moment: Spot) -> Iterator[Course]:
        """For each input, another value for a moment or from now on, and then nothing for a while."""
        of, program = self.machine.of, self.machine.of.fast.program
        for number, row in enumerate(of.network.inputs):
            kind, place = program.register(row.name)
            now = float(getattr(moment.memory, kind)[place])
            known = of.choices.get(row.name, (0.0, 1.0) if row.type is Type.BOOL else ())
            for value in sorted({min(known), max(known)} - {now}) if known else ():
                made = quiet(of, 3 * (number + self.taken) + 1, WHILE, 0.5)
                for back in ([(PULSE, row.name, now)], []):
                    yield evolve(made, moves=[(0, row.name, value), *back])
