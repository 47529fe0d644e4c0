"""What is done to a controller in a case: people set inputs, sensors show what they are told, power fails.

Rule of this file: a case begins with nobody calling, as the plan is in ordinary running.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import product

from attrs import field, frozen

from steadfall.logic.build.panel.settings import on_panel
from steadfall.logic.nodes import Value
from steadfall.plan.meaning.conditions import walk
from steadfall.plan.meaning.names import resolve
from steadfall.plan.meaning.person.let_go import asks_by
from steadfall.plan.model import ButtonCall, Input, Plan
from steadfall.plan.model.condition import Condition, Held
from steadfall.plan.model.setting import high_end
from steadfall.plan.model.upset import Upset, Wrong
from steadfall.predict.inputs.satisfy import names, possible, settings_for
from steadfall.predict.inputs.scenario import (
    PRESS_MS,
    AnyCall,
    Course,
    course,
    inputs_of_calls,
    settable,
    spelled,
)

MOST_SENSORS = 6  # of one condition that are made to show something


@frozen
class Case:
    """What is tried, what happens when, and for how long; the line of the plan that it is of."""

    name: str
    tries: str
    course: Course
    lasting_ms: int
    line: int = 0
    power_ms: int | None = None  # when the controller is switched off and on again
    panel: tuple[tuple[int, Mapping[str, Value]], ...] = ()  # what somebody sets there, once
    forced: tuple[tuple[int, Mapping[str, Value]], ...] = field(
        default=(), repr=False
    )  # as it is handed them


class Script:
    """A case while it is written: a moment that goes on, and what is done at it."""

    def __init__(self, plan: Plan) -> None:
        usual = settable(plan)
        self.plan, self.now = plan, 0
        self.start = {**course(plan).start, **{name: usual[name] for name in inputs_of_calls(plan)}}
        self.people = dict(self.start)
        self.power: int | None = None
        self._panel: list[tuple[int, Mapping[str, Value]]] = []
        self._changes: list[tuple[int, str, float]] = []
        self._upsets: list[Upset] = []

    def wait(self, ms: int) -> None:
        """So long nothing new is done."""
        self.now += ms

    def put(self, wanted: Mapping[str, float]) -> None:
        """People set their inputs, sensors show what they are told."""
        for name, value in wanted.items():
            if name in self.start:
                self._changes.append((max(self.now, 1), name, value))
                self.people[name] = value
            else:
                self._upsets.append(Upset(self.now, name, Wrong.SHOWS, value))

    def back(self, given: Iterable[str]) -> None:
        """People set inputs as they were at the start, sensors measure again."""
        for name in given:
            if name in self.start:
                self.put({name: self.start[name]})
            else:
                self._upsets.append(Upset(self.now, name, Wrong.MEASURES))

    def wrong(self, name: str, wrong: Wrong) -> None:
        """Something is the matter with an input."""
        self._upsets.append(Upset(self.now, name, wrong))

    def set_on_panel(self, settings: Mapping[str, float]) -> None:
        """Somebody sets numbers on the panel, in SI."""
        self._panel.append((self.now, on_panel(self.plan, settings)))

    def press(self, button: str) -> None:
        """A person presses a button and lets it go."""
        usual = self.plan.inputs[button].normal
        self.put({button: 1.0 - usual})
        self.wait(max(PRESS_MS, 2 * self.plan.scan.longest_ms))
        self.put({button: usual})

    def call(self, call: AnyCall) -> tuple[str, ...] | None:
        """Somebody calls; the inputs that were set for it, None where inputs cannot call."""
        if isinstance(call, ButtonCall):
            self.press(call.start)
            return ()
        made = answer(asks_by(call, self.plan), self.plan, self.people)
        if made is None:
            return None
        self.put(made)
        return tuple(made)

    def let_go(self, call: AnyCall, given: Iterable[str]) -> None:
        """Nobody calls any more."""
        if isinstance(call, ButtonCall):
            self.press(call.stop)
        self.back(given)

    def case(self, name: str, tries: str, line: int) -> Case:
        """The case that was written."""
        made = Course(
            name, self.start, tuple(sorted(self._changes)), {}, self.now, self.now,
            upsets=spelled(self.plan, self._upsets),
        )  # fmt: skip
        return Case(name, tries, made, self.now, line, self.power, tuple(self._panel))


def answer(
    condition: Condition, plan: Plan, people: Mapping[str, float], circuit: str | None = None
) -> dict[str, float] | None:
    """Inputs under which a condition is so, what people set and sensors show; None: inputs cannot do it.

    What only time decides counts as possible.
    """
    known = {name: resolve(name, circuit, plan.inputs) for name in names(condition)}
    inputs = {name: plan.inputs[full] for name, full in known.items() if full}
    base = {name: people[item.name] for name, item in inputs.items() if item.name in people}
    perhaps: dict[str, float] | None = None
    for shown in _shown(inputs):
        given = {**base, **shown}
        made = settings_for(condition, inputs, given)
        if made is None:
            continue
        found = {inputs[name].name: value for part in (shown, made) for name, value in part.items()}
        if possible(condition, {**given, **made}):
            return found
        perhaps = found if perhaps is None else perhaps
    return perhaps


def _shown(inputs: Mapping[str, Input]) -> Iterator[dict[str, float]]:
    """What the sensors among some inputs may be made to show: their ends."""
    sensors = {item.name: item for item in inputs.values() if item.measures is not None}
    own = list(sensors.values())[:MOST_SENSORS]
    for values in product(*((1.0, 0.0) if item.is_digital else (item.high, item.low) for item in own)):
        told = {item.name: value for item, value in zip(own, values, strict=True)}
        yield {name: told[item.name] for name, item in inputs.items() if item.name in told}


def held_ms(condition: Condition | None) -> int:
    """The longest time for which a part of a condition must hold."""
    parts = walk(condition) if condition is not None else ()
    return max((high_end(part.ms) for part in parts if isinstance(part, Held)), default=0)
