"""Inputs and times, scan by scan.

Rule of this file: an input keeps a value until a step gives it another; before its first it is off or 0. A
step is one scan, or a power cut, during which there is no scan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any

import attrs
import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from steadfall.logic.nodes import Type, Value

Ints = NDArray[np.int64]
_ARRAYS: Mapping[Type, Any] = {Type.BOOL: np.bool_, Type.REAL: np.float64}  # else whole numbers


@frozen
class Step:
    """A scan: the time since the step before, the inputs that are given a value; or how long power is off."""

    dt_ms: int
    inputs: Mapping[str, Value] = field(factory=dict)
    off_ms: int | None = None


@frozen(eq=False)
class Turns:
    """What one input does: the steps in which it is given a value, in order, and the values."""

    at: Ints
    values: NDArray[Any]

    def pairs(self) -> list[tuple[int, Value]]:
        """Step and value."""
        return list(zip(self.at.tolist(), self.values.tolist(), strict=True))

    def placed(self, at: Ints) -> Turns:
        """The same values in other steps, which keep the order; of two in one step the later counts."""
        kept = np.append(at[1:] != at[:-1], True)[: len(at)]
        return Turns(at[kept], self.values[kept])

    def only(self, kept: Any) -> Turns:
        """Some of them."""
        return Turns(self.at[kept], self.values[kept])

    def changes(self) -> Turns:
        """Without those that give the value that is there already."""
        return self.only(np.append(True, self.values[1:] != self.values[:-1])[: len(self.at)])


def turns(pairs: Iterable[tuple[int, Value]], kind: Type | None = None) -> Turns:
    """From steps and values in any order; of two in one step the later counts. `kind`: else as they are."""
    rows = dict(sorted(pairs, key=lambda pair: pair[0]))
    values = list(rows.values())
    array = np.array(values) if kind is None else np.array(values).astype(_ARRAYS.get(kind, np.int64))
    return Turns(np.array(list(rows), dtype=np.int64), array)


def column(values: NDArray[Any]) -> Turns:
    """An input that is given a value in every step."""
    return Turns(np.arange(len(values)), values)


@frozen(eq=False)
class Run:
    """What happens to a controller: the time before each step, what each input does, when power fails."""

    dts_ms: Ints  # since the step before; the first has none before it
    inputs: Mapping[str, Turns]
    cuts: Mapping[int, int] = field(factory=dict)  # step -> how long there is no power
    follows: Mapping[str, str] = field(factory=dict)  # input -> the signal whose last value it takes
    begin_ms: int = 0  # the moment of the first step

    def __len__(self) -> int:
        return len(self.dts_ms)

    @cached_property
    def times_ms(self) -> Ints:
        """The moment of each scan; of a power cut that at which power is back."""
        passing = self.dts_ms.copy()
        passing[:1] = 0
        for at, off_ms in self.cuts.items():
            passing[at] += off_ms
        return np.cumsum(passing) + self.begin_ms

    @property
    def end_ms(self) -> int:
        """The moment of the last step."""
        return int(self.times_ms[-1]) if len(self) else self.begin_ms

    def steps(self) -> Iterator[Step]:
        """One after the other."""
        given: list[dict[str, Value]] = [{} for _ in range(len(self))]
        for name, row in self.inputs.items():
            for at, value in row.pairs():
                given[at][name] = value
        for at, dt in enumerate(self.dts_ms.tolist()):
            yield Step(dt, given[at], self.cuts.get(at))

    def part(self, begin: int, end: int | None = None) -> Run:
        """The steps from one up to another, with each input in the first of them as it then stands."""
        end = len(self) if end is None else min(end, len(self))
        inputs = {}
        for name, row in self.inputs.items():
            until = row.only(slice(0, int(np.searchsorted(row.at, end))))
            if len(until.at):
                inputs[name] = until.placed(np.maximum(until.at - begin, 0))
        cuts = {at - begin: off_ms for at, off_ms in self.cuts.items() if begin <= at < end}
        at_ms = int(self.times_ms[begin]) if begin and begin < len(self) else self.begin_ms
        return Run(self.dts_ms[begin:end], inputs, cuts, self.follows, at_ms)

    def giving(self, name: str, row: Turns | None) -> Run:
        """The same, but for one input; None: nothing is done to it."""
        inputs = {**self.inputs, name: row} if row is not None else dict(self.inputs)
        if row is None:
            inputs.pop(name, None)
        return attrs.evolve(self, inputs=inputs)

    def changes(self) -> Run:
        """The same with nothing said twice."""
        return attrs.evolve(self, inputs={name: row.changes() for name, row in self.inputs.items()})

    def renamed(self, names: Callable[[str], str]) -> Run:
        """The same with other names for the inputs."""
        return attrs.evolve(self, inputs={names(name): row for name, row in self.inputs.items()})

    def then(self, more: Run) -> Run:
        """One run, and another after it."""
        inputs = dict(self.inputs)
        for name, row in more.inputs.items():
            at, before = row.at + len(self), inputs.get(name)
            inputs[name] = Turns(at, row.values) if before is None else _joined(before, at, row.values)
        cuts = {**self.cuts, **{at + len(self): off_ms for at, off_ms in more.cuts.items()}}
        dts = np.concatenate([self.dts_ms, more.dts_ms])
        return attrs.evolve(self, dts_ms=dts, inputs=inputs, cuts=cuts)


def _joined(before: Turns, at: Ints, values: NDArray[Any]) -> Turns:
    return Turns(np.concatenate([before.at, at]), np.concatenate([before.values, values]))


def run_of(steps: Iterable[Step], begin_ms: int = 0) -> Run:
    """A run from its steps; its inputs in the order in which they first appear."""
    dts: list[int] = []
    cuts: dict[int, int] = {}
    given: dict[str, list[tuple[int, Value]]] = {}
    for at, step in enumerate(steps):
        dts.append(step.dt_ms)
        if step.off_ms is not None:
            cuts[at] = step.off_ms
        for name, value in step.inputs.items():
            given.setdefault(name, []).append((at, value))
    inputs = {name: turns(pairs) for name, pairs in given.items()}
    return Run(np.array(dts, dtype=np.int64), inputs, cuts, begin_ms=begin_ms)
