"""Runs a plan: lays out logic and plant, drives the loop chunk by chunk, gathers the prediction."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from copy import deepcopy
from typing import Any

import numpy as np
from attrs import evolve
from numpy.typing import NDArray

from steadfall.logic.build.panel.settings import on_panel
from steadfall.logic.build.stand_in import with_stages
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.plan.meaning.names import staying
from steadfall.plan.model import Plan
from steadfall.plan.model.upset import Sort, Upset, Wrong
from steadfall.plant import fields as f
from steadfall.plant.grid.whole import Grid, lay_out
from steadfall.plant.kernel.observe import observe
from steadfall.predict.gather import Finished, gather
from steadfall.predict.inputs.scenario import Course, course
from steadfall.predict.loop import (
    BUSY,
    CLOCK,
    ENDED,
    LAST_DT,
    NOW,
    RELEASED,
    RUNNING,
    Bounds,
    Registers,
    advance,
)
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.record import NOTHING_KEPT, Kept, Record, packed, record, unpacked
from steadfall.predict.tape import Tape
from steadfall.predict.upsets import Rig, happen, own_constants
from steadfall.predict.watch import Watch, watch
from steadfall.predict.wiring import wire
from steadfall.progress import SILENT, Progress
from steadfall.scan.program import Program, compile_network, fresh

CHUNK_MS = 30_000
NEVER = 1 << 60  # ms
LARGEST_STEP_MS = 20
RECORD_MS = 500
COARSE_CELLS = 8
COARSE_STEP_MS = 100
CALM_MS, STRIDE_MS = 1_000, 200


def fine(plan: Plan, jitter_seed: int | None = None, cells: int | None = None) -> Settings:
    """The setting to judge by: 20 cells, the plan's scan time, plant steps of 20 ms at most."""
    scan = plan.scan.nominal_ms
    return Settings(cells or 20, scan, -(-scan // LARGEST_STEP_MS), jitter_seed, RECORD_MS)


def coarse(plan: Plan, jitter_seed: int | None = None) -> Settings:
    """The setting for sliders and searches: fewer cells, scans and steps of about 100 ms."""
    scan = max(plan.scan.nominal_ms, COARSE_STEP_MS)
    return Settings(COARSE_CELLS, scan, -(-scan // COARSE_STEP_MS), jitter_seed, 2 * RECORD_MS)


def brisk(plan: Plan) -> Settings:
    """The coarse setting for a slider that moves: the plant takes longer steps where no command changes."""
    return evolve(coarse(plan), calm_ms=CALM_MS, stride_ms=STRIDE_MS)


def predict(
    plan: Plan,
    scenario: str | None = None,
    settings: Settings | None = None,
    progress: Progress = SILENT,
    network: Network | None = None,
) -> Prediction:
    """Predict what a plan does in a scenario (default: the strongest call until every goal is reached).

    `network` is what the controller does, where that is not the plan's own: a text that
    `logic.build.stand_in` lets stand in for it. Raises PlanError when the plan has no such scenario.
    """
    return start(plan, course(plan, scenario), settings or fine(plan), network).through(progress)


def start(plan: Plan, run: Course, settings: Settings, network: Network | None = None) -> PlantRun:
    """A run that stands at its start."""
    network = build(plan) if network is None else with_stages(plan, network)
    program = compile_network(network)
    grid = lay_out(plan, settings.cells, settings.step)
    return PlantRun(plan, run, settings, network, program, grid)


class PlantRun:
    """One run: the arrays that the loop changes, and the tape that keeps what it records."""

    def __init__(
        self, plan: Plan, run: Course, settings: Settings, network: Network, program: Program, grid: Grid
    ) -> None:
        if run.upsets:
            grid = evolve(grid, constants=own_constants(grid.constants))
        self.plan, self.course, self.settings, self.program, self.grid = plan, run, settings, program, grid
        self.state = grid.fresh()
        registers = fresh(program)
        observed = np.zeros(len(grid.observed))
        observe(grid.constants, self.state, observed)
        self.registers = Registers(
            registers.ints, registers.reals, np.zeros(len(grid.valves), np.uint8), observed
        )
        self.start = observed.copy()
        self.held: dict[int, NDArray[np.float64]] = {}  # ends of what stays where it is without power
        self.code = program.code
        self._set_panel()
        self.wiring = wire(plan, program, run, grid.valves, grid.observed)
        self.due = list(run.upsets)
        self.watch: Watch = watch(plan, grid.observed, observed, settings.scan_ms / 1000)
        self.tape = Tape(network, program, grid.observed, self.start)
        self.record: Record = record(
            len(grid.observed),
            self.tape.watched,
            self.tape.real_watched,
            self._rows(),
            self._changes(),
            self.kept(),
        )
        self.clock = np.zeros(CLOCK, dtype=np.int64)
        self.clock[RELEASED] = -1
        self.bounds = Bounds(
            -1 if run.until_ms is None else run.until_ms,
            run.longest_ms,
            settings.steps_per_scan,
            settings.record_ms,
            settings.calm_ms,
            settings.stride_ms,
        )
        self.random = np.random.default_rng(settings.jitter_seed)

    def __getstate__(self) -> dict[str, Any]:  # for another process
        record, lengths = packed(self.record)
        return {**vars(self), "record": record, "lengths": lengths}

    def __setstate__(self, state: dict[str, Any]) -> None:
        lengths = state.pop("lengths")
        vars(self).update(state)
        self.record = unpacked(self.record, lengths)

    def kept(self) -> Kept:
        """The inputs whose value is kept at every scan: none in an ordinary run."""
        return NOTHING_KEPT

    def scans(self) -> int:
        """How many scans a chunk has."""
        return max(1, CHUNK_MS // self.settings.scan_ms)

    def _rows(self) -> int:
        return (
            self.scans() * max(self.settings.scan_ms, self.plan.scan.longest_ms) // self.settings.record_ms
            + 2
        )

    def _changes(self) -> int:
        return self.scans() * len(self.tape.watched)

    def _lengths(self) -> NDArray[np.int64]:
        nominal, longest = self.settings.scan_ms, self.plan.scan.longest_ms
        if self.settings.jitter_seed is None or longest <= nominal:
            return np.full(self.scans(), nominal, dtype=np.int64)
        return self.random.integers(nominal, longest, self.scans(), endpoint=True)

    def _set_panel(self) -> None:
        for name, value in on_panel(self.plan, self.course.panel).items():
            kind, index = self.program.register(name)
            (self.registers.reals if kind == "reals" else self.registers.ints)[index] = value

    def _happen(self, upset: Upset) -> None:
        if upset.wrong.sort is Sort.POWER:
            self._power(on=upset.wrong is Wrong.POWER_BACK)
        else:
            happen(Rig(self.plan, self.grid, self.wiring, self.registers, self.state), upset)

    def _power(self, *, on: bool) -> None:
        """Forget everything; without power no scan does anything, and every valve is told to rest."""
        again = fresh(self.program)
        self.registers.ints[:], self.registers.reals[:] = (again.ints, again.reals) if on else (0, 0.0)
        self.code = self.program.code if on else self.program.code[:0]
        self.clock[LAST_DT] = 0
        self.clock[BUSY] = self.clock[NOW] if on else NEVER  # no run ends without power
        self._set_panel()
        self._hold_still(on=on)
        for row, register in zip(self.grid.constants.valves, self.wiring.command_register, strict=True):
            self.registers.ints[register] = int(row[f.V_STANDS])

    def _hold_still(self, *, on: bool) -> None:
        """Without power what a motor moves stays where it is; with it, it moves as far as it did before."""
        valves, ends = self.grid.constants.valves, [f.V_LEAST, f.V_MOST]
        if not on and not self.held:
            rows = [self.grid.valves.index(name) for name in staying(self.plan)]
            self.held = {row: valves[row, ends] for row in rows}
        for row, before in self.held.items():
            valves[row, ends] = before if on else self.state.position[row]
        self.held = {} if on else self.held

    def branch(self, upsets: Iterable[Upset]) -> PlantRun:
        """The same run from where it stands, in which this goes wrong too; this one is left as it is."""
        other = object.__new__(type(self))
        vars(other).update(vars(self))
        other.grid = evolve(self.grid, constants=own_constants(self.grid.constants))
        other.state, other.registers, other.wiring, other.watch, other.record = (
            copied(part) for part in (self.state, self.registers, self.wiring, self.watch, self.record)
        )
        other.clock, other.random, other.tape = self.clock.copy(), deepcopy(self.random), self.tape.copy()
        other.due = sorted((*self.due, *upsets), key=lambda one: one.time_ms)
        return other

    def until(self, ms: int) -> None:
        """Run to the first scan at or after a moment, or to the end."""
        while self.clock[ENDED] == RUNNING and self.clock[NOW] < ms:
            self.advance(ms)
            self.tape.take(self.record)

    def let_happen(self) -> None:
        """Let go wrong what is due by now."""
        while self.due and self.due[0].time_ms <= self.clock[NOW]:
            self._happen(self.due.pop(0))

    def over(self) -> bool:
        """Whether it has ended."""
        return bool(self.clock[ENDED] != RUNNING)

    def _until_upset(self, ms: int | None = None) -> NDArray[np.int64]:
        """The lengths of the next scans: a chunk of them, or up to the next upset, or to a moment."""
        self.let_happen()
        now = int(self.clock[NOW])
        lengths = self._lengths()
        ends = [one.time_ms for one in self.due[:1]] + ([] if ms is None else [ms])
        if not ends:
            return lengths
        before = np.cumsum(lengths) - lengths < min(ends) - now
        return lengths[before]

    def advance(self, until_ms: int | None = None) -> None:
        """Run one chunk, or up to the next upset, or to a moment."""
        lengths = self._until_upset(until_ms)  # first: what is due now may change all that follows
        advance(
            self.code,
            self.registers,
            self.grid.constants,
            self.state,
            self.wiring,
            self.watch,
            self.record,
            self.bounds,
            self.clock,
            lengths,
        )

    def through(self, progress: Progress, only: Collection[str] | None = None) -> Prediction:
        """Run to the end and gather what was recorded, or these names only."""
        while self.clock[ENDED] == RUNNING:
            self.advance()
            self.tape.take(self.record)
            progress.step(self.share(), 1.0, self.words())
        return self.gathered(only)

    def gathered(self, only: Collection[str] | None = None) -> Prediction:
        """What was recorded up to where it stands, or these names only."""
        return gather(
            Finished(
                plan=self.plan,
                course=self.course,
                settings=self.settings,
                grid=self.grid,
                state=self.state,
                watch=self.watch,
                record=self.record,
                tape=self.tape,
                clock=self.clock,
            ),
            only,
        )

    def words(self) -> str:
        """How far the plant is, by its own time."""
        minutes, rest = divmod(int(self.clock[NOW]) // 1000, 60)
        return f"cooling, plant time {minutes}:{rest:02d}"

    def share(self) -> float:
        """How much of the run is done: by time, or by how far the furthest goal has come."""
        now = float(self.clock[NOW])
        if self.bounds.until > 0:
            return now / self.bounds.until
        if self.clock[RELEASED] >= 0:
            return 0.97
        done = 1.0
        for of, value, nearest in zip(
            self.watch.goal_of, self.watch.goal_value, self.watch.goal_nearest, strict=True
        ):
            way = self.start[of] - value
            done = min(done, (self.start[of] - nearest) / way if way else 1.0)
        return 0.95 * max(done, now / self.bounds.longest)


def copied(part: Any) -> Any:
    """A named tuple of arrays with arrays of its own."""
    return type(part)(*(array.copy() for array in part))
