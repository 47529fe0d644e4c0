"""What the controller is to do: scan, stages, finish, circuits, inputs, calls, ramps, permissives, trips.

Frozen data in SI; see `plan.model` for the units and the rule.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from attrs import frozen

from steadfall.plan.model.condition import Condition
from steadfall.plan.model.equipment import Outlet, Path, Relief, Valve
from steadfall.plan.model.setting import settings_of
from steadfall.source import Marks, at


@frozen
class Scan:
    """What the controller promises: the usual and the longest time between scans; presets are multiples of
    the step.
    """

    nominal_ms: int
    longest_ms: int
    timer_step_ms: int
    at: Marks = at()


@frozen
class Open:
    """The valve stays open all through the stage."""

    at: Marks = at()


@frozen
class Pulses:
    """The times of openings and pauses."""

    open_ms: int
    shut_ms: int
    at: Marks = at()


@frozen
class Dose:
    """The valve is open and shut in turn. `clock`: "restart" (begins with the stage) or "free" (a shared
    clock). With `for_ms` it does so for that long, and `then` something else to the end of the stage: it is
    "open", "shut", or doses by other times.
    """

    open_ms: int
    shut_ms: int
    clock: str
    for_ms: int | None = None
    then: str | Pulses | None = None
    at: Marks = at()


@frozen
class Share:
    """Time-proportioned: in each cycle the valve is open for as many percent as the signal says at its
    start.
    """

    of: str  # a percent input or a ramp
    cycle_ms: int
    at: Marks = at()


Action = Open | Dose | Share  # a valve that a stage does not name is shut in it


@frozen
class Stage:
    """One stage of cooling: what each valve does, and when the sequence may climb to the next."""

    name: str
    actions: Mapping[str, Action]
    climb: Condition | None  # None on the last stage
    at: Marks = at()


@frozen
class FinishStep:
    """One step of the finish (blow-out, emptying): what each valve does and for how long."""

    name: str
    actions: Mapping[str, Action]  # Open only
    for_ms: int
    at: Marks = at()


@frozen
class CircuitType:
    """One description that many circuits share: path, outlet, valves, stages (gentle first) and finish."""

    name: str
    path: Path
    outlet: Outlet
    rated: float
    valves: Mapping[str, Valve]
    stages: tuple[Stage, ...]
    finish: tuple[FinishStep, ...]
    step_down_ms: int  # least time in a stage before the sequence may step down; 0 = at once
    cold_start: str  # "finish" or "idle": where the sequence begins after power-up
    relief: Relief | None = None
    at: Marks = at()

    @property
    def step_names(self) -> tuple[str, ...]:
        """The names of all stages and finish steps, in order."""
        return (*(stage.name for stage in self.stages), *(step.name for step in self.finish))


@frozen
class Circuit:
    """A circuit: its type, the body or gas stream it cools, and by how much its doses lag those of the
    others.
    """

    name: str
    type: str
    host: str
    delay_doses_ms: int = 0
    at: Marks = at()


# How far beyond its ends a sensor still speaks, and from where it counts as failed, in shares of its range:
# 3.6 and 21 mA, 3.8 and 20.5 mA on a 4 to 20 mA loop (NAMUR NE 43, by two descriptions of it; the sheet
# itself was not seen). An end of the range is a good reading.
SPEAKS_BELOW, SPEAKS_ABOVE = 0.025, 0.0625
FAILED_BELOW, FAILED_ABOVE = 0.0125, 0.03125
MOST_NOISE = 0.1  # of the range, a judgement: with more a sensor would tell nothing


DIGITAL = "switch", "button"  # the kinds of input that are on or off


@frozen
class Changes:
    """When a switch that measures changes: on above (or below) a value, off again once back by the
    hysteresis.
    """

    bound: str  # "above" or "below"
    value: float  # SI
    hysteresis: float  # SI

    @property
    def sign(self) -> int:
        """-1 where low values count as high ones."""
        return 1 if self.bound == "above" else -1

    @property
    def off_at(self) -> float:
        """Where it is off again."""
        return self.value - self.sign * self.hysteresis


@frozen
class Raw:
    """What the controller is handed at the two ends of a sensor's range: milliamperes, volts or counts."""

    low: float
    high: float
    unit: str = ""  # "" of counts


@frozen
class Input:
    """A signal into the controller. `kind`: switch, button, temperature, pressure, percent, mass_flow.

    `measures` names the plant quantity behind a sensor (`splice`, `upper.outlet_temperature`,
    `upper.flood.is_open`) or is None for what a person or another system sets. `low` and `high` are the
    sensor's ends in SI or percent, `unit` is the spelling of the range (the unit in which the controller sees
    the value). `normal` is the value in ordinary running: 0.0 or 1.0 for a switch or button, SI or percent
    otherwise. A button is pressed while it is not as normal: normally on, it is wired normally closed.
    `raw` is what the controller is handed, where that is another number than the value in its unit.
    `cut_off` is of a flow whose pressure drop is handed over, so that the controller takes the root: below
    this flow, SI, it reads 0; None where the value goes evenly with what is handed over.
    `bad_below` and `bad_above`, in SI, are what a sensor out of its range shows at least, None as usual.
    `changes` is of a switch that measures what is more than on or off. `filter_ms` is the time of the
    controller's first-order filter, 0 without one. `when_bad` is what becomes of a sensor out of its range:
    "hold" (no climb that looks at it), "trip" (until `reset`), or "go on" with `substitute`.
    """

    name: str
    kind: str
    measures: str | None = None
    low: float = 0.0
    high: float = 1.0
    unit: str = ""
    raw: Raw | None = None
    cut_off: float | None = None
    lag: float = 0.0  # s, first order
    noise: float = 0.0  # standard deviation, SI or percent; for the bench alone
    normal: float = 0.0
    changes: Changes | None = None
    filter_ms: int = 0
    bad_below: float | None = None
    bad_above: float | None = None
    when_bad: str = "hold"
    substitute: float = 0.0
    reset: Condition | None = None
    at: Marks = at()

    @property
    def is_digital(self) -> bool:
        """Whether it is on or off, and measures nothing with a range."""
        return self.kind in DIGITAL

    @property
    def speaks(self) -> tuple[float, float]:
        """The lowest and highest value that the controller can be shown; both are bad ones."""
        low, high = self.good
        least, most = self._beyond(SPEAKS_BELOW, SPEAKS_ABOVE)
        return min(least, low), max(most, high)

    @property
    def most_noise(self) -> float:
        """The largest standard deviation that its values may have."""
        return (self.high - self.low) * MOST_NOISE

    @property
    def good(self) -> tuple[float, float]:
        """The values between which it is a reading; at them and beyond the sensor is out of range."""
        low, high = self._beyond(FAILED_BELOW, FAILED_ABOVE)
        return (
            low if self.bad_below is None else self.bad_below,
            high if self.bad_above is None else self.bad_above,
        )

    def _beyond(self, below: float, above: float) -> tuple[float, float]:
        """So far below and above the range, in shares of it; of a flow by its pressure drop, of that."""
        span = self.high - self.low
        if self.cut_off is not None:
            return -span * math.sqrt(below), span * math.sqrt(1 + above)
        return self.low - below * span, self.high + above * span


@frozen
class Call:
    """A condition that asks for cooling, and the highest stage that it allows."""

    when: Condition
    allows: str
    circuits: tuple[str, ...]
    at: Marks = at()


@frozen
class ButtonCall:
    """A call by push-buttons, which the controller latches: from a press of one until the other is pressed.

    Stop wins. A press that lasts counts once. A trip and a lost permissive for all water end the call too.
    """

    start: str  # a button
    stop: str
    allows: str
    circuits: tuple[str, ...]
    at: Marks = at()


@frozen
class Demand:
    """A percent signal that asks for cooling: each stage has the percentage from which it is allowed."""

    of: str  # a percent input or a ramp
    thresholds: Mapping[str, float]  # stage -> percent
    hysteresis: float  # percent below the threshold at which the stage is given up
    circuits: tuple[str, ...]
    at: Marks = at()

    @property
    def gives_up_lower(self) -> bool:
        """Whether a stage may be given up at less than its threshold."""
        return self.hysteresis > 0.0 or bool(settings_of(self.hysteresis))


@frozen
class Done:
    """A condition that ends a cool-down: every circuit goes to its finish, and no call counts until none is
    left.
    """

    when: Condition
    at: Marks = at()


@frozen
class Hand:
    """A condition under which valves are moved by hand, and for each of them the switch or button for it."""

    when: Condition
    valves: Mapping[str, str]  # "circuit.valve" -> input
    at: Marks = at()


@frozen
class ValveTest:
    """A button by which valves are moved one after another, each `for_ms` after a pause, and the valves."""

    start: str  # a button
    valves: tuple[str, ...]  # "circuit.valve", in their order
    for_ms: int
    pause_ms: int
    at: Marks = at()


@frozen
class Hold:
    """A condition under which no circuit climbs. Once it is over, a climb's time in the stage begins at 0."""

    when: Condition
    at: Marks = at()


@frozen
class StepOn:
    """A button that takes a climb before its condition holds, of some stages of some circuits."""

    button: str
    stages: tuple[str, ...]
    circuits: tuple[str, ...]
    at: Marks = at()


@frozen
class Ramp:
    """The ramp follower: a set-point that falls at a rate, and the percent of cooling that the distance to it
    asks for.

    While `when` is false the demand is 0 and the set-point tracks the measured value; from then on it falls
    at `fall` down to `to`. Demand = 100 % x (measured - set-point) / `band`, kept within 0 and 100 %.
    """

    name: str
    of: str  # a temperature input
    when: Condition
    fall: float  # K/s
    to: float
    band: float  # K
    at: Marks = at()


@frozen
class Permissive:
    """A condition without which the named water valves are shut at once."""

    name: str
    needs: Condition
    valves: tuple[str, ...]  # "circuit.valve", resolved
    all_water: bool
    at: Marks = at()


@frozen
class Trip:
    """A condition that ends cooling and latches until reset; every circuit goes to its finish."""

    name: str
    when: Condition
    reset: Condition
    at: Marks = at()
