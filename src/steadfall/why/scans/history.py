"""Every scan of a run, at hand by its number.

Rule of this file: only the inputs and now and then the registers are kept; what a scan looked like is
computed again when it is asked for, a stretch of scans at a time. So hours of scans cost little more than
their inputs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.comparisons import HOLDS
from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import Node, Type, Value
from steadfall.runs.player import Fast
from steadfall.runs.run import Run
from steadfall.scan.interpreter import Clock, Scanner
from steadfall.scan.program import Registers, fresh
from steadfall.why.facts.looks import looks_at
from steadfall.why.scans.cuts import Cuts
from steadfall.why.scans.moment import Moment

STRETCH = 2000  # scans computed at a time
KEPT = 12  # stretches at hand


@frozen(eq=False)
class Stretch:
    """The registers after each of some scans, and before the first of them."""

    start: int
    ints: NDArray[np.int64]  # one row more than scans; row 0 is before the first
    reals: NDArray[np.float64]


@frozen(eq=False)
class Ends:
    """The least and the greatest of each register over a stretch and just before it: where a look back may
    skip it.
    """

    ints: tuple[NDArray[np.int64], NDArray[np.int64]]
    reals: tuple[NDArray[np.float64], NDArray[np.float64]]

    def of(self, kind: str, place: int) -> tuple[Any, Any]:
        """The least and the greatest value of one register."""
        low, high = self.reals if kind == "reals" else self.ints
        return low[place], high[place]


Bounds = Callable[[Ends], tuple[Any, Any]]


class History:
    """A run that was played on a network, scan by scan."""

    def __init__(self, network: Network, run: Run) -> None:
        self.network, self.run = network, run
        self.types = network.types
        self.times_ms = run.times_ms
        self.fast = Fast(network)
        self.program = self.fast.program
        self.rows_by_name = {row.name: row for row in network.assignments}
        self.inputs = {row.name: row for row in network.inputs}
        self.looks_at = {row.name: looks_at(row.node, row.name, self.inputs) for row in network.assignments}
        self.cuts = Cuts(network, self.looks_at)
        self._starts = {0: fresh(self.program)}
        self._ends: dict[int, Ends] = {}
        self._stretch = lru_cache(maxsize=KEPT)(self._computed)
        self.moment = lru_cache(maxsize=64)(self._moment)

    def __len__(self) -> int:
        return len(self.times_ms)

    def scan_at(self, time_ms: int) -> int:
        """The number of the scan whose values hold at a moment: the last one at or before it."""
        return max(0, int(np.searchsorted(self.times_ms, time_ms, side="right")) - 1)

    def since(self, name: str, scan: int) -> int:
        """The scan from which on, up to this one, the signal has had its present value."""
        kind, place = self.program.register(name)
        return self._back(
            lambda stretch: self._column(stretch, name), scan, lambda ends: ends.of(kind, place)
        )

    def clock_since(self, timer: str, scan: int) -> int:
        """The scan from which on, up to this one, the timer has been in its present state."""
        place = self.program.register(f"{timer}.ET")[1] + 1
        return self._back(lambda stretch: stretch.ints[:, place], scan, lambda ends: ends.of("ints", place))

    def compared_since(self, node: nodes.Compare, scan: int) -> int:
        """The scan from which on, up to this one, a comparison has come out as it does now."""
        bounds = lambda ends: self._bounds(ends, node)  # noqa: E731
        return self._back(lambda stretch: self._compared(stretch, node), scan, bounds)

    def last_true(self, name: str, scan: int) -> int | None:
        """The last scan before this one in which a true/false signal was true; None where there is none."""
        kind, place = self.program.register(name)
        while scan > 0:
            number = (scan - 1) // STRETCH
            if number in self._ends and not self._ends[number].of(kind, place)[1]:
                scan = number * STRETCH
                continue
            stretch = self._stretch(number)
            places = np.flatnonzero(self._column(stretch, name)[1 : scan - stretch.start + 1])
            if places.size:
                return stretch.start + int(places[-1])
            scan = stretch.start
        return None

    def amended(self, run: Run, scan: int) -> History:
        """The same run with other inputs from a scan on; what came before is taken over, and this one lets go
        of it.
        """
        made, number = History(self.network, run), scan // STRETCH
        made._starts = {place: start for place, start in self._starts.items() if place <= number}
        made._ends = {place: ends for place, ends in self._ends.items() if place < number}
        self._stretch.cache_clear()
        self.moment.cache_clear()
        return made

    def stretches(
        self, names: Sequence[str], scan: int = 0
    ) -> Iterable[tuple[int, Mapping[str, NDArray[Any]]]]:
        """Stretch by stretch from that of a scan on: its first scan, and the named signals in each of its
        scans.
        """
        for number in range(scan // STRETCH, -(-len(self) // STRETCH)):
            stretch = self._stretch(number)
            yield stretch.start, {name: self._column(stretch, name)[1:] for name in names}

    def column(self, name: str, scans: int) -> NDArray[Any]:
        """A signal in each of the first scans."""
        return np.concatenate([columns[name] for _, columns in self.stretches((name,))])[:scans]

    def scanner(self, scan: int) -> Scanner:
        """The interpreter as it stands before a scan."""
        found, now = Scanner(self.network), self.moment(scan)
        found.first = scan == 0
        found.values.update(now.last)
        for name, row in self.rows_by_name.items():
            if name in now.before:
                found.clocks[name] = Clock(now.before[name].et, now.before[name].state)
            elif scan and isinstance(row.node, nodes.Rise | nodes.Fall):
                on = bool(self.moment(scan - 1).value(row.node.part))
                found.clocks[name] = Clock(0, int(on if isinstance(row.node, nodes.Rise) else not on))
        return found

    def _back(self, column: Callable[[Stretch], NDArray[Any]], scan: int, bounds: Bounds) -> int:
        """How far back a column has the value that it has in this scan; stretches in which it rests are
        skipped.
        """
        stretch = self._stretch(scan // STRETCH)
        present = column(stretch)[scan - stretch.start + 1]
        while True:
            seen = column(stretch)[1 : scan - stretch.start + 2]
            other = np.flatnonzero((seen != present) & ~((seen != seen) & (present != present)))  # noqa: PLR0124
            if other.size:
                return stretch.start + int(other[-1]) + 1
            number = stretch.start // STRETCH - 1
            while number >= 0 and all(end == present for end in bounds(self._ends[number])):
                number -= 1
            if number < 0:
                return 0
            stretch = self._stretch(number)
            scan = stretch.start + STRETCH - 1

    def _bounds(self, ends: Ends, node: nodes.Compare) -> tuple[Any, Any]:
        """How a comparison comes out at the ends of what it compares; alike only where it is so all the way
        between.
        """
        (low, high), (least, most) = self._range(ends, node.left), self._range(ends, node.right)
        if any(end != end for end in (low, high, least, most)):  # noqa: PLR0124
            return None, None
        if node.op in ("=", "<>") and (low != high or least != most):
            return None, None
        return HOLDS[node.op](low, most), HOLDS[node.op](high, least)

    def _range(self, ends: Ends, node: Node) -> tuple[Any, Any]:
        if isinstance(node, nodes.Constant):
            return node.value, node.value
        if isinstance(node, nodes.Read | nodes.Previous):
            return ends.of(*self.program.register(node.name))
        raise TypeError(f"{type(node).__name__} is not read column by column")

    def _column(self, stretch: Stretch, name: str) -> NDArray[Any]:
        kind, place = self.program.register(name)
        return (stretch.reals if kind == "reals" else stretch.ints)[:, place]

    def _compared(self, stretch: Stretch, node: nodes.Compare) -> NDArray[Any]:
        left, right = self._operand(stretch, node.left), self._operand(stretch, node.right)
        return np.broadcast_to(np.asarray(HOLDS[node.op](left, right)), len(stretch.ints))

    def _operand(self, stretch: Stretch, node: Node) -> Any:
        if isinstance(node, nodes.Constant):
            return node.value
        if isinstance(node, nodes.Previous):
            column = self._column(stretch, node.name)
            return np.concatenate([column[:1], column[:-1]])
        if isinstance(node, nodes.Read):
            return self._column(stretch, node.name)
        raise TypeError(f"{type(node).__name__} is not read column by column")

    def _computed(self, number: int) -> Stretch:
        """The stretch with this number; the registers at its start are kept, those of earlier ones on the way
        too.
        """
        known = max(start for start in self._starts if start <= number)
        for place in range(known, number):
            self._starts[place + 1] = _end(self._run(place))
        return self._run(number)

    def _run(self, number: int) -> Stretch:
        start = number * STRETCH
        span = start, min(start + STRETCH, len(self))
        kept_ints, kept_reals = self.fast.everything(self.run, self._starts[number], span)
        if number not in self._ends:
            both = [(kept.min(axis=0), kept.max(axis=0)) for kept in (kept_ints, kept_reals)]
            self._ends[number] = Ends(both[0], both[1])
        return Stretch(start, kept_ints, kept_reals)

    def _moment(self, scan: int) -> Moment:
        """What a scan looked like."""
        if not 0 <= scan < len(self):
            raise IndexError(f"there is no scan {scan}; the run has {len(self)}")
        stretch = self._stretch(scan // STRETCH)
        after, found = scan - stretch.start + 1, scan - stretch.start
        dt = int(self.times_ms[scan] - self.times_ms[scan - 1]) if scan else 0
        last, before = self._state(stretch, found)
        values, clocks = self._state(stretch, after)
        return Moment(scan, int(self.times_ms[scan]), dt, values, last, clocks, before)

    def _state(self, stretch: Stretch, row: int) -> tuple[dict[str, Value], dict[str, Clock]]:
        ints, reals = stretch.ints[row], stretch.reals[row]
        values: dict[str, Value] = {}
        for name, kind in self.types.items():
            place = self.program.register(name)[1]
            values[name] = float(reals[place]) if kind is Type.REAL else int(ints[place])
            if kind is Type.BOOL:
                values[name] = bool(values[name])
        clocks: dict[str, Clock] = {}
        for name, assigned in self.rows_by_name.items():
            if isinstance(assigned.node, nodes.TIMERS):
                place = self.program.register(f"{name}.ET")[1]
                clocks[name] = Clock(int(ints[place]), int(ints[place + 1]))
        return values, clocks


def _end(stretch: Stretch) -> Registers:
    return Registers(stretch.ints[-1].copy(), stretch.reals[-1].copy())
