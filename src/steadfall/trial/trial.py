"""A trial: a plan's logic and its hot plant, scan by scan, with a person at its switches and sensors.

Rule of this file: its first scan is done when it begins, so that nothing is pressed before a scan has seen
how everything stands. From a moment before it goes on by a saved state near it, and the same acts again.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping

import numpy as np
from attrs import define, evolve, field
from numpy.typing import NDArray

from steadfall.logic.build.panel.settings import on_panel
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type
from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Input, Plan, Scenario
from steadfall.plan.model.upset import POWER, Upset, Wrong
from steadfall.plant.grid.whole import lay_out
from steadfall.predict.inputs.scenario import Course, settable
from steadfall.predict.loop import ENDED, NOW, STOPPED
from steadfall.predict.outcome.result import Settings
from steadfall.predict.record import Kept
from steadfall.predict.run import PlantRun, fine
from steadfall.predict.upsets import Rig, happen
from steadfall.quantities import BODY, CIRCUIT_PRESSURE, STREAM
from steadfall.runs.run import Run, column, turns
from steadfall.scan.program import compile_network
from steadfall.source import AskError
from steadfall.trial.act import BUTTON, Act, act, power, press_ms, pressed, scripted, turned, usual
from steadfall.trial.log import Log
from steadfall.words import _

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

    def __init__(
        self, plan: Plan, settings: Settings | None = None, scenario: Scenario | None = None
    ) -> None:
        self.plan = plan
        setting = evolve(settings or fine(plan), record_ms=SAMPLES_MS)
        panel = {} if scenario is None else scenario.panel
        course = Course("by hand", settable(plan), (), {}, ENDS_MS, ENDS_MS, panel=panel)
        network = build(plan)
        grid = lay_out(plan, setting.cells, setting.step)
        self._run: PlantRun = _Going(plan, course, setting, network, compile_network(network), grid)
        known = quantities(plan)
        self.curves = tuple(name for name in grid.observed if known[name].quantity in CURVES)
        self.log = Log([grid.observed.index(name) for name in self.curves])
        self.network, self.signals, self.scan_ms = network, self._run.tape.signals, setting.scan_ms
        self.panel = panel  # settings that were not at their defaults when it began
        script = () if scenario is None else scripted(plan, scenario, self.scan_ms)
        self._acts: list[Act] = sorted(script, key=lambda one: one.time_ms)
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
        for name, setting in self.plan.settings.items():
            found[name] = run.course.panel.get(name, setting.default)
        return found

    def values(self) -> tuple[float, ...]:
        """The curves' quantities as they are now, SI."""
        return tuple(self._run.registers.observed[self.log.shown].tolist())

    def act(self, name: str, said: str) -> None:
        """Set an input or a setting from the next scan on, in a plan's words; `measured` leaves an input to
        the plant. `power` is `lost`, or `back`.
        """
        if name == POWER:
            self._put(power(self.now_ms, said))
        elif name in self.plan.settings:
            self._put(turned(self.plan.settings[name], self.now_ms, said))
        else:
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

    def cuts(self) -> tuple[tuple[int, int | None], ...]:
        """When the controller had no power: from which scan on, up to which (None: it has none yet)."""
        found: list[tuple[int, int | None]] = []
        for one in self.acts:
            gone = bool(found) and found[-1][1] is None
            if one.of == POWER and gone != (one.said == Wrong.POWER_LOST):
                found = [*found[:-1], (found[-1][0], one.time_ms)] if gone else [*found, (one.time_ms, None)]
        return tuple(found)

    def inputs(self, at_ms: int | None = None) -> Run:
        """All that the controller saw, scan by scan, since it had power before a moment (None: now). Raises
        AskError where it had none.
        """
        at_ms = self.now_ms - self.scan_ms if at_ms is None else at_ms
        since_ms, until_ms = 0, self.now_ms
        for gone_ms, back_ms in self.cuts():
            if gone_ms <= at_ms < (self.now_ms if back_ms is None else back_ms):
                raise AskError(_("the controller has no power at this moment"))
            if gone_ms > at_ms:
                until_ms = gone_ms
                break
            since_ms = self.now_ms if back_ms is None else back_ms
        moments, rows = self.log.seen()
        part = slice(*np.searchsorted(moments, (since_ms, until_ms)))
        return self._seen(moments[part], rows[part])

    def _seen(self, moments: NDArray[np.int64], rows: NDArray[np.float64]) -> Run:
        types = self._run.program.types
        inputs = {
            name: column(row.astype(np.bool_) if types[name] is Type.BOOL else row).changes()
            for name, row in zip(self.plan.inputs, rows.T, strict=True)
        }
        for name in self.plan.settings:
            inputs[name] = turns(self._on_panel(name, moments), types[name])
        return Run(np.diff(moments, prepend=moments[:1]), inputs, begin_ms=int(moments[0]))

    def _on_panel(self, name: str, moments: NDArray[np.int64]) -> Iterator[tuple[int, float]]:
        """From which scan on a setting stood how, as the panel shows it."""
        first = self.panel.get(name, self.plan.settings[name].default)
        changed = [(one.time_ms, one.value or 0.0) for one in self.acts if one.of == name]
        for ms, value in ((0, first), *changed):
            at = int(np.searchsorted(moments, ms))
            if at < len(moments):
                yield at, on_panel(self.plan, {name: value})[name]

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
        run = self._run
        if one.upsets:
            run.held = dict(run.held)  # saved runs keep theirs
            run.due = sorted((*run.due, *one.upsets), key=lambda each: each.time_ms)
            return
        if one.of in self.plan.settings:
            run.course = evolve(run.course, panel={**run.course.panel, one.of: one.value or 0.0})
            kind, place = run.program.register(one.of)
            getattr(run.registers, kind)[place] = on_panel(self.plan, {one.of: one.value or 0.0})[one.of]
            return
        item = self.plan.inputs[one.of]
        if item.measures is None:
            run.wiring.given[list(self.plan.inputs).index(one.of)] = one.value
            return
        wrong = Wrong.MEASURES if one.value is None else Wrong.SHOWS
        rig = Rig(run.plan, run.grid, run.wiring, run.registers, run.state)
        happen(rig, Upset(one.time_ms, one.of, wrong, one.value))

    def _input(self, name: str) -> Input:
        if name not in self.plan.inputs:
            raise AskError(_("there is no input '{name}'").format(name=name))
        return self.plan.inputs[name]

    def _button(self, name: str) -> Input:
        item = self._input(name)
        if item.kind != BUTTON or item.measures is not None:
            raise AskError(_("'{name}' is no button").format(name=name))
        return item
