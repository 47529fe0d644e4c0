"""A run made smaller, as long as it still comes to its goal.

Rule of this file: whatever is left out has been tried by playing the run, and the goal was still reached.
What is left is small for what it was made from; that there is no smaller one is not said. How much is tried
is counted in scans, so that the same run is always made into the same.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

import numpy as np
from attrs import define, evolve, field

from steadfall.logic.nodes import Value
from steadfall.runs.player import Player
from steadfall.runs.run import Run, Turns, turns

SCANS = 400_000  # that are played at most; about half a second of the fast scan
LATER = 1000  # one part in so many of the time is given for scans that are farther apart
PASSES = 3  # through the inputs: one that keeps still lets another do so


@define(eq=False)
class Goal:
    """A signal that is to come true, what a run is played on, and how many scans may still be played."""

    player: Player
    signal: str
    left: int = SCANS

    def reached(self, run: Run) -> int:
        """The step in which a run reaches it; -1 where it does not, or nothing may be played any more."""
        self.left -= len(run)
        return self.player.first(run, [self.signal])[0] if self.left >= 0 else -1


def fewer_scans(goal: Goal, run: Run, longest_ms: int, ordinary: Mapping[str, Value]) -> Run:
    """A run that ends at its goal, without the scans and the changes that it does not need; no power cuts.

    The goal is reached at most a scan or a thousandth later. `ordinary`: with what inputs had best begin.
    """
    work = _Work(goal, longest_ms, run)
    work.rarer_scans()
    work.fewer_changes()
    work.leave_out_scans()
    work.ordinary_start(ordinary)
    return work.best


def fewer_changes(goal: Goal, run: Run, ordinary: Mapping[str, Value], fixed: Collection[str] = ()) -> Run:
    """The run with the same scans, and inputs that keep still and to what is ordinary where they can.

    Each input in turn is kept at its ordinary value throughout, else at one of its own, else it loses one
    change after the other, the last first. `fixed`: inputs that are left as they are.
    """
    for _ in range(PASSES):
        before, run = run, _stiller(goal, run, ordinary, fixed)
        if run is before:
            break
    return run


def _stiller(goal: Goal, run: Run, ordinary: Mapping[str, Value], fixed: Collection[str]) -> Run:
    """The run after every input in turn has been tried with less; itself where nothing could be left out."""
    names = [name for name in run.inputs if name not in fixed]
    for name in sorted(names, key=lambda name: -len(run.inputs[name].at)):
        still = (_kept(goal, run, name, row) for row in _still(run.inputs[name], ordinary.get(name)))
        run = next(filter(None, still), None) or _fewer(goal, run, name)
    return run


def _kept(goal: Goal, run: Run, name: str, row: Turns) -> Run | None:
    """The run with another course of one input, if the goal is still reached; itself where it is no other."""
    if row.pairs() == run.inputs[name].pairs():
        return run
    tried = run.giving(name, row)
    return tried if goal.reached(tried) >= 0 else None


def _still(row: Turns, ordinary: Value | None) -> Iterator[Turns]:
    """What would do without a change: the ordinary value, then the first and the last that the input has."""
    own = row.values.tolist()
    values = [value for value in (ordinary, own[0], own[-1]) if value is not None]
    return (turns([(0, value)]) for value in dict.fromkeys(values))


def _fewer(goal: Goal, run: Run, name: str) -> Run:
    """The run without the changes of an input that it can do without."""
    for place in range(len(run.inputs[name].at) - 1, 0, -1):
        run = _kept(goal, run, name, _without(run.inputs[name], [place])) or run
    return run


def _without(row: Turns, places: list[int]) -> Turns:
    return row.only(np.delete(np.arange(len(row.at)), places))


@define(eq=False)
class _Work:
    """The best run so far; `best` ends where the goal is reached."""

    goal: Goal
    longest_ms: int
    best: Run
    length: tuple[int, int, int] = field(init=False)

    def __attrs_post_init__(self) -> None:
        self.length = self._length(self.best)

    def _length(self, run: Run) -> tuple[int, int, int]:
        """What is to become less: time, to the longest scan; scans; changes of inputs."""
        lasts = run.end_ms - run.begin_ms
        return -(-lasts // self.longest_ms), len(run), sum(len(row.at) for row in run.inputs.values())

    def better(self, run: Run, *, as_good: bool = False, later: int = 0) -> bool:
        """Whether this run does better, or as well, or with less though so much later; it is kept then."""
        last = self.goal.reached(run)
        if last < 0:
            return False
        found = run.part(0, last + 1)
        now = self._length(found)
        less = found.end_ms <= self.best.end_ms + later and len(found) < len(self.best)
        better = now <= self.length if as_good else now < self.length or (later > 0 and less)
        if better:
            self.best, self.length = found, now
        return better

    def rarer_scans(self) -> None:
        """Scans as far apart as they may be, with the same changes at the same time."""
        lasts, longest = self.best.end_ms - self.best.begin_ms, self.longest_ms
        places = -(-(self.best.times_ms - self.best.begin_ms) // longest)
        count = int(places[-1]) + 1 + lasts // LATER // longest
        inputs = {name: row.placed(places[row.at]) for name, row in self.best.inputs.items()}
        dts = np.full(count, longest, dtype=np.int64)
        self.better(evolve(self.best, dts_ms=dts, inputs=inputs), later=lasts // LATER)

    def leave_out_scans(self) -> None:
        """Leaves out stretches of scans, long ones first; what changes in them changes after them."""
        count = len(self.best) // 2
        while count and self.goal.left > 0:
            place = 0
            while place < len(self.best) and self.goal.left > 0:
                if not self.better(_shorter(self.best, place, count)):
                    place += count
            count //= 2

    def fewer_changes(self) -> None:
        """Leaves out what an input does after the first scan, all of it or a part."""
        for name in sorted(name for name, row in self.best.inputs.items() if row.at[-1]):
            self._less(name, [place for place, at in enumerate(self.best.inputs[name].at) if at])

    def _less(self, name: str, places: list[int]) -> None:
        """Leaves out these changes, or halves of them."""
        if not places or self.goal.left <= 0 or name not in self.best.inputs:
            return
        row = _without(self.best.inputs[name], places)
        if self.better(self.best.giving(name, row if len(row.at) else None)):
            return
        if len(places) > 1:  # the later half first: its places stay right for the other
            half = len(places) // 2
            self._less(name, places[half:])
            self._less(name, places[:half])

    def ordinary_start(self, ordinary: Mapping[str, Value]) -> None:
        """Lets inputs begin as they usually are."""
        for name in tuple(self.best.inputs):
            row = self.best.inputs[name]
            if name in ordinary and not row.at[0] and row.values[0] != ordinary[name]:
                values = row.values.copy()
                values[0] = ordinary[name]
                self.better(self.best.giving(name, Turns(row.at, values)), as_good=True)


def _shorter(run: Run, place: int, count: int) -> Run:
    """A run without some scans."""
    inputs = {
        name: row.placed(np.where(row.at < place, row.at, np.maximum(place, row.at - count)))
        for name, row in run.inputs.items()
    }
    dts = np.delete(run.dts_ms, slice(place, place + count))
    return evolve(run, dts_ms=dts, inputs=inputs).part(0)
