"""A search by runs that jump: through long stays in a stage, and on from where others have come.

Rule of this file: a place is where a sequence stands, its stages; from each place that a run has come to, and
from a little and a long way before it, other runs go on. What is found is a run from power-up, scan by scan,
to be replayed; how much is tried is counted in steps.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from typing import Any, Self

import numpy as np
from attrs import define, evolve, field, frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.prove.runs.courses import Course, course, quiet
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.sampled import Machine, machine_of, play, times_of
from steadfall.prove.system.dues import dues
from steadfall.prove.system.step import Model
from steadfall.runs.run import Run, turns
from steadfall.runs.strides import CALM, IDLE
from steadfall.scan.program import Registers, fresh

NAME = "far runs"
STEPS = 1_500_000  # of all runs together: some two seconds
FEW, MANY = 4, 1000  # parts of a quiet run at most: on from where another has come; from power-up
MORE = 100_000  # steps for a run of less time than the first that is found
AGAIN = 8  # of so many runs one begins at power-up
PART = 1000  # steps of a run that are made in one go
BEFORE = (0, 10, 100)  # steps before a place is come to; besides, where the part of the run began
OF_A_PLACE = 4  # times that a place is come to, each with other clocks
MOST = 400  # ways to places
GOLDEN = 0.6180339887498949  # its multiples lie evenly between 0 and 1


@frozen(eq=False)
class Spot:
    """Where a run has come to: what the controller remembers, and how it came there."""

    memory: Registers
    ages: Any
    before: Spot | None = None
    made: Course | None = None  # from there to here
    passed: Any = None  # ms of each of its steps
    at_ms: int = 0

    def parts(self) -> list[tuple[Course, Any]]:
        """The courses from power-up on, each with the ms that its steps took."""
        found, here = list[tuple[Course, Any]](), self
        while here.before is not None and here.made is not None:
            found.append((here.made, here.passed))
            here = here.before
        return found[::-1]


def far(of: Rig, model: Model, goal: str, *, power_cut: bool, steps: int = STEPS) -> Run | None:
    """A run to the goal, of those found together the one of the least time; None where none is found in so
    many steps.
    """
    search = Search.of(of, model, goal, power_cut, steps)
    best: Spot | None = None
    for found in search.ways():
        if best is None:
            search.left = min(search.left, MORE)
        best = found if best is None or found.at_ms < best.at_ms else best
    return None if best is None else run_of(of, best)


@define(eq=False)
class Search:
    """The runs that have been made, and where they have come to."""

    machine: Machine
    goal: int  # its column
    times: Sequence[int]
    longest_due: int
    power_cut: bool
    left: int
    spots: list[Spot] = field(factory=list)
    known: dict[bytes, int] = field(factory=dict)  # how often a run came to a place from another one

    @classmethod
    def of(
        cls, of: Rig, model: Model, goal: str, power_cut: bool, steps: int, also: Sequence[str] = ()
    ) -> Self:
        """Ready for a goal. `also`: signals whose columns stand behind its own."""
        network = model.network
        machine = machine_of(model, of, (), power_cut=power_cut)
        where = of.fast.program.where
        own = places(network)
        columns = [where[name].place for name in (*own, goal, *also)]
        pairs = [(where.get(name), where.get(to)) for name, to in of.follows.items()]
        follow = [(one.place, two.place) for one, two in pairs if one and two]
        machine = evolve(
            machine,
            columns=np.array(columns, dtype=np.int64),
            follow=np.array(follow, dtype=np.int64).reshape(len(follow), 2),
        )
        longest = max((due for row in dues(network).values() for due in row), default=0)
        return cls(machine, len(own), times_of(network), longest, power_cut, steps)

    def ways(self) -> Iterator[Spot]:
        """Ways to the goal."""
        begin = Spot(fresh(self.machine.of.fast.program), self.machine.clocks[2].copy())
        turn = 0
        while self.left > 0:
            spots = [begin, *self.spots]
            spot = spots[turn * 7 % len(spots)] if turn % AGAIN else begin
            if turn % 2 or spot is begin:
                yield from self._stays(spot, turn)
            if turn % 2 == 0:
                yield from self._goes_on(spot, turn)
            turn += 1

    def _goes_on(self, spot: Spot, seed: int) -> Iterator[Spot]:
        """Inputs change."""
        made = course(self.machine.of, seed, self.times, power_cut=self.power_cut, steps=PART // 2)
        yield from self.played(spot, made if spot.before is None else made.going_on())

    def _stays(self, spot: Spot, seed: int) -> Iterator[Spot]:
        """Nothing changes but what the controller does, until it has done all that it will."""
        late, here, calm = seed * GOLDEN % 1, spot, 0
        for _ in range(MANY if spot.before is None else FEW):
            if calm > self.longest_due or self.left <= 0 or _idle(here, self.machine.of.longest_ms):
                break
            made = quiet(self.machine.of, seed, PART, late)
            if here.before is None:
                first = course(self.machine.of, seed, self.times, power_cut=False, steps=1)
                made = evolve(made, moves=first.moves)
            here, changed = yield from self.played(here, made)
            whole = int(here.passed.sum())
            calm = calm + whole if changed < 0 else int(here.passed[changed:].sum())

    def played(self, spot: Spot, made: Course) -> Generator[Spot, None, tuple[Spot, int]]:
        """Plays a course from a spot; where it ends, and the last step in which the place changed, -1 for
        none.
        """
        rows = np.zeros((made.steps, len(self.machine.columns) + 1), dtype=np.int64)
        end = self.after(spot, made, rows)
        yield from self.found(spot, made, rows)
        changes = np.flatnonzero((rows[1:, : self.goal] != rows[:-1, : self.goal]).any(axis=1)) + 1
        for step in changes.tolist():
            self._note(spot, made, step, rows[step - 1 : step + 1, : self.goal].tobytes())
        return end, int(changes[-1]) if len(changes) else -1

    def found(self, spot: Spot, made: Course, rows: Any) -> Iterator[Spot]:
        """The way to the goal, where a course comes to it."""
        hits = np.flatnonzero(rows[:, self.goal])
        if len(hits):
            yield self.after(spot, made.begun(int(hits[0]) + 1))

    def _note(self, spot: Spot, made: Course, step: int, place: bytes) -> None:
        """Keeps the ways to a place that has not been come to often."""
        count = self.known.get(place, 0)
        if count >= OF_A_PLACE or len(self.spots) >= MOST:
            return
        self.known[place] = count + 1
        if spot.before is not None:
            self.spots.append(spot)
        self.spots += [self.after(spot, made.begun(step + 1 - ago)) for ago in BEFORE if ago <= step]

    def after(self, spot: Spot, made: Course, rows: Any = None) -> Spot:
        """Where a course from a spot ends; what is so after each step comes into `rows`."""
        if rows is None:
            rows = np.zeros((made.steps, len(self.machine.columns) + 1), dtype=np.int64)
        memory, ages = Registers(*(row.copy() for row in spot.memory)), spot.ages.copy()
        play(self.machine, made, memory, ages, rows)
        self.left -= made.steps
        passed = rows[:, -1].copy()
        return Spot(memory, ages, spot, made, passed, spot.at_ms + int(passed.sum()))


def _idle(spot: Spot, longest: int) -> bool:
    """Whether nothing was due any more when a run came to a spot."""
    return spot.passed is not None and bool((spot.passed[-CALM - 1 :] == IDLE * longest).all())


def places(network: Network) -> list[str]:
    """The signals that tell where a sequence stands: whole numbers that are remembered, else what is true or
    false.
    """
    what = network.identities
    own = {row.name: row.type for row in network.assignments if not what[row.name].watches}
    remembered = [name for name in dict.fromkeys(network.remembered) if name in own]
    for kind in (Type.INT, Type.BOOL):
        if found := [name for name in remembered if own[name] is kind]:
            return found
    return []


def run_of(of: Rig, spot: Spot) -> Run:
    """The scans of a way; a jump is scans as far apart as may be, with the inputs as they were."""
    longest, dts, begun = of.longest_ms, list[Any](), 0
    cuts, given = dict[int, int](), dict[str, dict[int, Value]]()
    for made, passed in spot.parts():
        many = np.where(made.offs > 0, 1, np.maximum(-(-passed // longest), 1))
        first = passed - (many - 1) * longest  # of a jump: the least part comes first
        places_ = begun + np.append(0, np.cumsum(many))
        row = np.full(int(many.sum()), longest, dtype=np.int64)
        row[places_[:-1] - begun] = np.where(made.offs > 0, 0, first)
        dts.append(row)
        cuts |= {int(places_[step]): int(made.offs[step]) for step in np.flatnonzero(made.offs).tolist()}
        for asked, name, value in made.moves:
            step = next((at for at in range(asked, made.steps) if not made.offs[at]), None)
            if step is not None:  # while there is no power, nothing is read
                given.setdefault(name, {})[int(places_[step])] = value
        begun = int(places_[-1])
    inputs = {name: turns(sorted(row.items()), of.types[name]) for name, row in given.items()}
    return Run(np.concatenate(dts), inputs, cuts, of.follows)
