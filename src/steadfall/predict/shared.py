"""Runs of one plan that share what the plant did, where their controllers ordered the same of it.

Rule of this file: what goes wrong with inputs alone reaches the plant through the controller's orders. So
such a run lets the logic run over what the plant showed in a run before it; for as long as it orders the
same, scan by scan, the plant is that run's, to the bit. From the last edge before the first other order it
goes on alone, and others can follow it in turn. All scans have one length here: there is no jitter.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple, cast

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.plan.model.upset import Sort, Upset
from steadfall.plant.grid.whole import lay_out
from steadfall.plant.state import State
from steadfall.predict.follow import follow
from steadfall.predict.inputs.scenario import Course
from steadfall.predict.loop import NOW, RELEASED, Registers
from steadfall.predict.orders import BESIDE
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.record import ORDERS
from steadfall.predict.run import CHUNK_MS, NEVER, PlantRun, copied
from steadfall.predict.tape import Sampled
from steadfall.predict.watch import Watch
from steadfall.predict.wiring import Wiring
from steadfall.progress import Progress
from steadfall.scan.program import compile_network


class _Plant(NamedTuple):
    """How the plant, and what is watched of it, stood at the end of a stretch."""

    state: State
    watch: Watch
    peak: NDArray[np.float64]
    peak_ms: NDArray[np.int64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    observed: NDArray[np.float64]
    commands: NDArray[np.uint8]
    clock: NDArray[np.int64]


class _Logic(NamedTuple):
    """How the logic, and what it is shown, stood at the beginning of one."""

    registers: Registers
    wiring: Wiring
    last: NDArray[np.int64]
    clock: NDArray[np.int64]


@frozen(eq=False)
class Stretch:
    """A piece of a run between two edges, and the pieces by which runs went on from its end."""

    shown: NDArray[np.float64]
    orders: NDArray[np.uint8]
    sampled: Sampled
    end: _Plant
    after: list[Stretch]


class SharedRun(PlantRun):
    """A run that knows by which stretches runs went on from where it stands.

    Its branches share with it and with each other, but for those in which more than inputs goes wrong. Of the
    plant `only` these names are recorded: it is handed to other processes with all that was.
    """

    def __init__(
        self,
        plan: Plan,
        run: Course,
        settings: Settings,
        edges: Sequence[int],
        only: Collection[str] | None = None,
    ) -> None:
        network = build(plan)
        program, grid = compile_network(network), lay_out(plan, settings.cells, settings.step)
        super().__init__(plan, run, settings, network, program, grid)
        if only is not None:
            self.tape.keep(only)
        self.after: list[Stretch] = []
        self.edges, self.shares = edges, True
        measured = np.unique(self.wiring.sensor_of[self.wiring.sensor_of >= 0])
        orders = self.wiring.command_register.size + BESIDE
        self.record = self.record._replace(
            measured=measured,
            shown=np.zeros((self.scans(), measured.size)),
            orders=np.zeros((self.scans(), orders), dtype=np.uint8),
        )

    def branch(self, upsets: Iterable[Upset]) -> SharedRun:
        """The same run from where it stands, in which this goes wrong too."""
        wrong = tuple(upsets)
        other = cast(SharedRun, super().branch(wrong))
        other.shares = self.shares and all(one.wrong.sort is Sort.INPUT for one in wrong)
        return other

    def alone(self) -> SharedRun:
        """The same run, which nobody follows and which follows nobody: it is a tenth as long to hand on."""
        other = self.branch(())
        other.shares, other.after = False, []
        return other

    def until(self, ms: int) -> None:
        """Run to a moment, or to the end; a run that shares only to an edge."""
        if not self.shares:
            super().until(ms)
            return
        while not self.over() and self.clock[NOW] < ms:
            found = next((one for one in self.after if _followed(self, one)), None)
            if found is None:
                found = _alone(self, self._edge())
                self.after.append(found)
            self.after = found.after

    def through(self, progress: Progress, only: Collection[str] | None = None) -> Prediction:
        """Run to the end and gather what was recorded, or these names only."""
        if self.shares:
            self.until(NEVER)
        return super().through(progress, only)

    def _edge(self) -> int:
        """Where a stretch that begins now ends: the same for every run."""
        now = int(self.clock[NOW])
        place = bisect_right(self.edges, now)
        return min([now + CHUNK_MS, *self.edges[place : place + 1]])


def _alone(run: PlantRun, ms: int) -> Stretch:
    """Run to a moment, and keep what others need to follow."""
    shown, orders, since = [], [], run.tape.length()
    while not run.over() and run.clock[NOW] < ms:
        run.advance(ms)
        used = run.record.used[ORDERS]
        shown.append(run.record.shown[:used].copy())
        orders.append(run.record.orders[:used].copy())
        run.tape.take(run.record)
    return Stretch(np.concatenate(shown), np.concatenate(orders), run.tape.sampled(since), _plant(run), [])


def _plant(run: PlantRun) -> _Plant:
    record, registers = run.record, run.registers
    return _Plant(
        copied(run.state),
        copied(run.watch),
        record.peak.copy(),
        record.peak_ms.copy(),
        record.low.copy(),
        record.high.copy(),
        registers.observed.copy(),
        registers.commands.copy(),
        run.clock.copy(),
    )


def _followed(run: PlantRun, stretch: Stretch) -> bool:
    """Whether a run orders the same all along; if it does not, it stands where it stood."""
    before, due = _logic(run), run.due[:]
    scans, done = len(stretch.orders), 0
    while done < scans:
        run.let_happen()
        ends = _scans_until_due(run, scans - done) + done
        at = follow(
            run.code,
            run.registers,
            run.wiring,
            run.record,
            run.bounds,
            run.clock,
            stretch.shown,
            stretch.orders,
            (done, ends),
            run.settings.scan_ms,
            int(stretch.end.clock[RELEASED]),
        )
        if at < ends:
            _stand(run, before)
            run.due = due
            return False
        done = ends
    _take_over(run, stretch)
    return True


def _scans_until_due(run: PlantRun, most: int) -> int:
    """How many scans begin before the next thing goes wrong."""
    if not run.due:
        return most
    return min(most, -(-(run.due[0].time_ms - int(run.clock[NOW])) // run.settings.scan_ms))


def _logic(run: PlantRun) -> _Logic:
    return _Logic(copied(run.registers), copied(run.wiring), run.record.last.copy(), run.clock.copy())


def _stand(run: PlantRun, at: _Logic) -> None:
    run.registers, run.wiring, run.clock = at.registers, at.wiring, at.clock
    run.record = run.record._replace(last=at.last)
    run.record.used[:] = 0


def _take_over(run: PlantRun, stretch: Stretch) -> None:
    """Let the plant be that of the stretch at its end."""
    run.tape.take(run.record, stretch.sampled)
    end = stretch.end
    run.state, run.watch, run.clock = copied(end.state), copied(end.watch), end.clock.copy()
    run.registers = run.registers._replace(observed=end.observed.copy(), commands=end.commands.copy())
    run.record = run.record._replace(
        peak=end.peak.copy(), peak_ms=end.peak_ms.copy(), low=end.low.copy(), high=end.high.copy()
    )
