"""A plan tried by hand: what can be pressed and set, what is drawn, and what happened since it was last told.

Rule of this file: it hands out plain data in units that people read; what it takes are the words of a plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from attrs import asdict, frozen

from steadfall.app.given.document import document
from steadfall.app.page.keep import Play, with_scenario
from steadfall.app.page.lanes import lanes
from steadfall.app.why import Answer
from steadfall.plan.keys.sections.aims import MEASURED
from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Input, Plan
from steadfall.plan.model.upset import POWER, Wrong
from steadfall.quantities import METRIC, Reading, Units, moment
from steadfall.report.words.names import spoken
from steadfall.source import AskError
from steadfall.trial.act import BUTTON, steps, usual
from steadfall.trial.trial import Trial
from steadfall.units import shown, value_in
from steadfall.why.explain import explain, unknown
from steadfall.why.scans.history import History
from steadfall.why.words.tell import Reason
from steadfall.why.words.wording import wording_of
from steadfall.words import _

STOPPED = _("the plant left what can be computed; go back to a moment before, or begin anew")
ENDED = _("a trial ends after 24 h; go back to a moment before, or begin anew")
AFTER_MS = 1000  # of a scenario, where its last act is not seen yet
NOTCHES = 200  # of what is dragged
SETTING = "setting"
POWER_WORDS = _("the controller has power")
SET_FIRST = _("a scenario has its settings from the start on: begin anew, set them, then press")


@frozen
class Control:
    """An input that a person presses, turns, or takes away from the plant."""

    name: str
    words: str
    kind: str  # button, switch, level; of the plant: sensor, contact; setting; power
    usual: str  # how it stands while nobody touches it, in a plan's words
    unit: str = ""
    least: float = 0.0
    most: float = 1.0
    step: float = 1.0


@frozen
class Curve:
    """A quantity of the plant that is drawn."""

    name: str
    words: str
    of: str  # what it measures
    unit: str
    digits: int


class Trying:
    """A trial under way."""

    def __init__(self, plan: Plan, scenario: str = "", units: Units = METRIC) -> None:
        begun = plan.scenarios[scenario] if scenario else None
        self.plan, self.trial = plan, Trial(plan, scenario=begun)
        self.lanes = lanes(plan, self.trial.network, self.trial.signals)
        places = {name: k for k, name in enumerate(self.trial.signals)}
        self._lane = {places[one.name]: k for k, one in enumerate(self.lanes)}
        self.controls = (*_controls(plan), *_panel(plan))
        self._readings = [units.of(quantities(plan)[name].reading) for name in self.trial.curves]
        self._told = [0, 0]  # changes, samples

    def sheet(self) -> dict[str, Any]:
        """What does not change: rows, curves, controls, the scan time."""
        body = {
            "title": "",
            "scan_ms": self.trial.scan_ms,
            "lanes": [one.as_json() for one in self.lanes],
            "curves": [asdict(one) for one in self._curves()],
            "controls": [asdict(one) for one in self.controls],
            "cuts": [],
            "begin_ms": 0,
            "end_ms": None,
        }
        return document(self.plan, True, body)

    def news(self, *, anew: bool = False) -> dict[str, Any]:
        """What happened since it was last told; `anew`: from the start on."""
        if anew:
            self._told = [0, 0]
        trial, (changes, samples) = self.trial, self._told
        self._told = [len(trial.log.changes), len(trial.log.samples)]
        lane = self._lane
        return {
            "now_ms": trial.now_ms,
            "over": "" if not trial.over else STOPPED if trial.stopped else ENDED,
            "changes": [[ms, lane[of], to] for ms, of, to in trial.log.changes[changes:] if of in lane],
            "samples": [[ms, *map(self._read, parts)] for ms, *parts in trial.log.samples[samples:]],
            "values": self._read(trial.values()),
            "shown": {name: self._shown(name, value) for name, value in trial.shown().items()},
            "held": dict(trial.held()),
            "cuts": [[gone, trial.now_ms if back is None else back] for gone, back in trial.cuts()],
        }

    def until(self, ms: int) -> None:
        """Go on to a moment."""
        self.trial.go(max(0, -(-(ms - self.trial.now_ms) // self.trial.scan_ms)))

    def step(self) -> None:
        """One scan."""
        self.trial.go(1)

    def back(self, ms: int) -> None:
        """Stand at a moment before."""
        self.trial.back(ms)

    def do(self, name: str, what: str) -> None:
        """Press or release a button, or set an input in a plan's words."""
        ways = {"press": self.trial.press, "release": self.trial.release}
        if what in ways:
            ways[what](name)
        else:
            self.trial.act(name, what)

    def why(self, signal: str, at_ms: int) -> Answer:
        """Why a signal has its value at a moment."""
        history = History(self.trial.network, self.trial.inputs(at_ms))
        return explained(self.plan, history, signal, at_ms)

    def kept(self, text: str, file: str, name: str) -> str:
        """A plan's text with what was done as a scenario in it. Raises AskError."""
        acts = [one for one in self.trial.acts if one.of not in self.plan.settings]
        done = list(steps(acts, self.plan.inputs.values(), self.plan.scan.longest_ms))
        last_ms = max((ms for ms, _, _ in done), default=0)
        until_ms = self.trial.now_ms if last_ms < self.trial.now_ms else last_ms + AFTER_MS
        return with_scenario(text, file, name, Play(done, until_ms, self._panel()))

    def _panel(self) -> dict[str, str]:
        """Settings as they stood from the start on, in a plan's words."""
        known = self.plan.settings
        panel = {}
        for name, si in self.trial.panel.items():
            panel[name] = shown(si, known[name].dimension, 6, known[name].unit)
        for one in self.trial.acts:
            if one.of in known and one.time_ms > self.trial.scan_ms:
                raise AskError(f"{SET_FIRST} ({one.of}: {moment(one.time_ms)})")
            if one.of in known:
                panel[one.of] = one.said
        return panel

    def _curves(self) -> Iterator[Curve]:
        known = quantities(self.plan)
        for name, one in zip(self.trial.curves, self._readings, strict=True):
            yield Curve(name, spoken(known[name].owner), known[name].dimension, one.symbol, one.digits)

    def _read(self, values: Sequence[float]) -> list[float]:
        return [_round(one, si) for one, si in zip(self._readings, values, strict=True)]

    def _shown(self, name: str, si: float) -> float:
        if name in self.plan.settings:
            setting = self.plan.settings[name]
            return round(value_in(si, setting.unit, setting.dimension), 4)
        item = self.plan.inputs[name]
        return si if item.is_digital else round(_in_unit(item, si), 2)


def explained(plan: Plan, history: History, signal: str, at_ms: int) -> Answer:
    """Why a signal of a run has its value at a moment. Raises AskError where there is no such signal."""
    if signal not in history.types:
        raise AskError(unknown(history.network, signal))
    return Answer(plan, explain(history.network, history, signal, history.scan_at(at_ms), wording_of(plan)))


def rows(answer: Answer) -> Iterator[tuple[int, str, int]]:
    """An answer as lines: how deep each stands, its words, its line of the plan (0: none)."""
    lines = answer.explanation.sentences(places=False)
    places = [0, *_lines(answer.explanation.reasons)]
    for k, line in enumerate(lines):
        words = line.lstrip(" ")
        yield (len(line) - len(words)) // 2, words, places[k] if k < len(places) else 0


def _lines(reasons: Iterable[Reason]) -> Iterator[int]:
    for one in reasons:
        yield one.mark.line
        yield from _lines(one.reasons)


def _round(one: Reading, si: float) -> float:
    return round(float(one.of(si)), one.digits + 1)


def _in_unit(item: Input, si: float) -> float:
    return value_in(si, item.unit or "%", item.kind)


def _controls(plan: Plan) -> Iterator[Control]:
    """Every input; of numbers also how far they go."""
    for item in plan.inputs.values():
        ours = item.measures is None
        if item.is_digital:
            kind = ("button" if item.kind == BUTTON else "switch") if ours else "contact"
            yield Control(item.name, _said(item), kind, usual(item) if ours else MEASURED)
            continue
        unit = item.unit or "%"
        least, most = (_in_unit(item, end) for end in (item.low, item.high))
        step = _notch(most - least)
        normal = f"{_in_unit(item, item.normal):g} {unit}" if ours else MEASURED
        ends = -(-least // step) * step, most // step * step
        yield Control(
            item.name,
            _said(item),
            "level" if ours else "sensor",
            normal,
            unit,
            round(ends[0], 6),
            round(ends[1], 6),
            step,
        )


def _panel(plan: Plan) -> Iterator[Control]:
    """Every setting, and the power."""
    for item in plan.settings.values():
        least, usual_, most = (
            value_in(one, item.unit, item.dimension) for one in (item.low, item.default, item.high)
        )
        step, said = _notch(most - least), f"{usual_:g} {item.unit}"
        ends = round(least, 6), round(most, 6)
        yield Control(item.name, spoken(item.name), SETTING, said, item.unit, *ends, step)
    yield Control(POWER, POWER_WORDS, POWER, Wrong.POWER_BACK)


def _said(item: Input) -> str:
    return spoken(item.name).replace(".", ": ")


def _notch(span: float) -> float:
    """A round number, some two hundred of which are the whole way."""
    return float(f"1e{f'{span / NOTCHES:e}'.partition('e')[2]}")
