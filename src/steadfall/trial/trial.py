"""A trial: a plan's logic and its hot plant, scan by scan, with a person at its switches and sensors.

Rule of this file: its first scan is done when it begins, so that nothing is pressed before a scan has seen
how everything stands. From a moment before it goes on by a saved state near it, and the same acts again.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping

import numpy as np
from attrs import define, evolve, field

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type
from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Input, Plan
from steadfall.plan.model.upset import Upset, Wrong
from steadfall.plant.grid.whole import lay_out
from steadfall.predict.inputs.scenario import Course, settable
from steadfall.predict.loop import ENDED, NOW, STOPPED
from steadfall.predict.outcome.result import Settings
from steadfall.predict.record import Kept
from steadfall.predict.run import PlantRun, fine
from steadfall.predict.upsets import Rig, happen
from steadfall.quantities import BODY, CIRCUIT_PRESSURE, STREAM
from steadfall.runs.run import Run, column
from steadfall.scan.program import compile_network
from steadfall.source import AskError
from steadfall.trial.act import BUTTON, Act, act, press_ms, pressed, usual
from steadfall.trial.log import Log

ENDS_MS = 24 * 3_600_000  # of a trial: far beyond any
SAMPLES_MS = 200  # between two samples of the plant
SCANS = 100  # at a time
SAVED_EVERY_MS, SAVED = 10_000, 100  # states: how far apart at first, and how many at most
CURVES = BODY, STREAM, CIRCUIT_PRESSURE  # what is sampled of the plant


class _Going(PlantRun):
    """A run that keeps what the controller sees, in small pieces: a person waits for each of them."""

    def kept(self) -> Kept:
        registers = [self.program.register(name) for name in self.plan.inputs]
        places = np.array([place for _, place in registers], dtype=np.int64)
        real = np.array([kind == "reals" for kind, _ in registers], dtype=np.int64)
        return Kept(places, real, self.scans())

    def scans(self) -> int:
        return SCANS


@define
class _Saved:
    """States of a run, from early to late."""

    every_ms: int = SAVED_EVERY_MS
    times_ms: list[int] = field(factory=list)
    runs: list[PlantRun] = field(factory=list)

    def offer(self, run: PlantRun, now_ms: int) -> None:
        """Save it where the last one is long ago; of too many every other one is let go."""
        if self.times_ms and now_ms < self.times_ms[-1] + self.every_ms:
            return
        self.times_ms.append(now_ms)
        self.runs.append(run.branch(()))
        if len(self.runs) > SAVED:
            self.every_ms *= 2
            del self.times_ms[1::2], self.runs[1::2]

    def before(self, ms: int) -> tuple[int, PlantRun]:
        """The last one up to a moment; those after it are let go."""
        place = bisect_right(self.times_ms, ms)
        del self.times_ms[place:], self.runs[place:]
        return self.times_ms[-1], self.runs[-1].branch(())


class Trial:
    """Logic and plant of a plan as they stand now; a plan of the logic alone has no plant, and needs none."""

    def __init__(self, plan: Plan, settings: Settings | None = None) -> None:
        self.plan = plan
        setting = evolve(settings or fine(plan), record_ms=SAMPLES_MS)
        course = Course("by hand", settable(plan), (), {}, ENDS_MS, ENDS_MS)
        network = build(plan)
        grid = lay_out(plan, setting.cells, setting.step)
        self._run: PlantRun = _Going(plan, course, setting, network, compile_network(network), grid)
        known = quantities(plan)
        self.curves = tuple(name for name in grid.observed if known[name].quantity in CURVES)
        self.log = Log([grid.observed.index(name) for name in self.curves])
        self.network, self.signals, self.scan_ms = network, self._run.tape.signals, setting.scan_ms
        self._acts: list[Act] = []
        self._saved = _Saved()
        self.go(1)

    @property
    def now_ms(self) -> int:
        """The plant's own time: the next scan is at this moment."""
        return int(self._run.clock[NOW])

    @property
    def over(self) -> bool:
        """Whether it goes no further."""
        return self._run.over()

    @property
    def stopped(self) -> bool:
        """Whether the plant left what can be computed."""
        return bool(self._run.clock[ENDED] == STOPPED)

    @property
    def acts(self) -> tuple[Act, ...]:
        """What was done so far, in order; a button that is still to spring back is not in it."""
        return tuple(one for one in self._acts if one.time_ms <= self.now_ms)

    def held(self) -> Mapping[str, str]:
        """How each input that a person has touched stands, in a plan's words."""
        return {one.of: one.said for one in self.acts}

    def shown(self) -> Mapping[str, float]:
        """What the controller was shown last, in SI, percent, or 0 and 1."""
        run, found = self._run, dict[str, float]()
        for place, name in enumerate(self.plan.inputs):
            kind, register = run.program.register(name)
            value = float(getattr(run.registers, kind)[register])
            if run.program.types[name] is Type.REAL:
                value = value * float(run.wiring.sensor_factor[place]) + float(
                    run.wiring.sensor_offset[place]
                )
            found[name] = value
        return found

    def values(self) -> tuple[float, ...]:
        """The curves' quantities as they are now, SI."""
        return tuple(self._run.registers.observed[self.log.shown].tolist())

    def act(self, name: str, said: str) -> None:
        """Set an input from the next scan on, in a plan's words; `measured` leaves it to the plant."""
        self._put(act(self._input(name), self.now_ms, said))

    def press(self, name: str) -> None:
        """Press a button; it stays so until it is let go."""
        item = self._button(name)
        self._put(act(item, self.now_ms, pressed(item)))

    def release(self, name: str) -> None:
        """Let a button go; it springs back once the controller has surely seen it."""
        item = self._button(name)
        mine = [one for one in self._acts if one.of == name]
        if mine and mine[-1].said == pressed(item):
            least = mine[-1].time_ms + press_ms(self.plan.scan.longest_ms)
            self._put(act(item, max(self.now_ms, least), usual(item)))

    def go(self, scans: int) -> None:
        """So many scans, each with the plant after it."""
        self._to(self.now_ms + scans * self.scan_ms)

    def back(self, ms: int) -> None:
        """Stand as at a moment before, its scan being the next; what was done since is forgotten."""
        ms = max(self.scan_ms, min(ms, self.now_ms) // self.scan_ms * self.scan_ms)
        saved_ms, self._run = self._saved.before(ms)
        self.log.cut(saved_ms)
        self._acts = [one for one in self._acts if one.time_ms < ms]
        self._to(ms)
        for item in self.plan.inputs.values():
            if item.kind == BUTTON:
                self.release(item.name)

    def inputs(self) -> Run:
        """All that the controller saw so far, scan by scan."""
        moments, rows = self.log.seen()
        types = self._run.program.types
        inputs = {
            name: column(row.astype(np.bool_) if types[name] is Type.BOOL else row).changes()
            for name, row in zip(self.plan.inputs, rows.T, strict=True)
        }
        return Run(np.diff(moments, prepend=moments[:1]), inputs, begin_ms=int(moments[0]))

    def _to(self, ms: int) -> None:
        while not self.over and self.now_ms < ms:
            self._saved.offer(self._run, self.now_ms)
            for one in self._acts:
                if one.time_ms == self.now_ms:
                    self._give(one)
            later = (one.time_ms for one in self._acts if one.time_ms > self.now_ms)
            self._run.advance(min([ms, *later]))
            self.log.take(self._run.record)

    def _put(self, one: Act) -> None:
        """Do it at its moment; of two things with one input at one moment the later counts."""
        kept = [other for other in self._acts if (other.of, other.time_ms) != (one.of, one.time_ms)]
        self._acts = sorted([*kept, one], key=lambda each: each.time_ms)

    def _give(self, one: Act) -> None:
        """From the next scan on."""
        run, item = self._run, self.plan.inputs[one.of]
        if item.measures is None:
            run.wiring.given[list(self.plan.inputs).index(one.of)] = one.value
            return
        wrong = Wrong.MEASURES if one.value is None else Wrong.SHOWS
        rig = Rig(run.plan, run.grid, run.wiring, run.registers, run.state)
        happen(rig, Upset(one.time_ms, one.of, wrong, one.value))

    def _input(self, name: str) -> Input:
        if name not in self.plan.inputs:
            raise AskError(f"there is no input '{name}'")
        return self.plan.inputs[name]

    def _button(self, name: str) -> Input:
        item = self._input(name)
        if item.kind != BUTTON or item.measures is not None:
            raise AskError(f"'{name}' is no button")
        return item
