"""Conditions: what a plan says about its signals, as a small tree that can be read aloud.

Rule of this file: data only. `plan.text.phrase` reads the text, `plan.check.whole` resolves the names,
`logic` builds them.
"""

from __future__ import annotations

from attrs import field, frozen

from steadfall.source import NOWHERE, Mark


def _mark() -> Mark:
    return field(default=NOWHERE, eq=False, repr=False)


@frozen
class Always:
    """True or false for ever."""

    value: bool
    mark: Mark = _mark()


@frozen
class Signal:
    """A true/false signal by its name: an input, a valve's command, `permitted`, `tripped`, a
    disagreement.
    """

    name: str
    mark: Mark = _mark()


@frozen
class Compare:
    """A measured signal against a constant; `value` is in SI (K, Pa absolute, kg/s) or in percent.

    With a hysteresis it holds on until the signal has gone back by that much beyond the constant.
    """

    name: str
    op: str  # "<", "<=", ">", ">="
    value: float
    dimension: str  # of the constant as written: "temperature", "pressure", "percent", "mass_flow"
    mark: Mark = _mark()
    hysteresis: float = field(default=0.0, kw_only=True)

    @property
    def given_up(self) -> float:
        """Where it no longer holds."""
        return self.value + self.hysteresis if self.op in ("<", "<=") else self.value - self.hysteresis


@frozen
class Goes:
    """A true/false signal has become true, or false, in this scan; not in the first scan."""

    name: str
    on: bool
    mark: Mark = _mark()


@frozen
class OutOfRange:
    """The sensor of a measured signal is beyond either end of its range by more than a reading can be (broken
    wire).
    """

    name: str
    mark: Mark = _mark()


@frozen
class InStage:
    """A circuit is in a stage or finish step by name, or `idle`, or `finishing` (any finish step)."""

    circuit: str
    stage: str
    mark: Mark = _mark()


@frozen
class Not:
    """The opposite."""

    part: Condition
    mark: Mark = _mark()


@frozen
class And:
    """All parts hold."""

    parts: tuple[Condition, ...]
    mark: Mark = _mark()


@frozen
class Or:
    """At least one part holds."""

    parts: tuple[Condition, ...]
    mark: Mark = _mark()


@frozen
class Held:
    """The part has held without a gap for this long."""

    part: Condition
    ms: int
    mark: Mark = _mark()


@frozen
class After:
    """So long has passed since the stage was entered (only in climbs)."""

    ms: int
    mark: Mark = _mark()


@frozen
class Passed:
    """A time that the controller counts, against a constant (only in requirements).

    `upper.stage_time`: since the circuit came into its stage; `upper.mist.held_time`: since the command of
    the valve last changed; both since power-up where nothing has happened yet.
    """

    name: str
    op: str  # "<", "<=", ">", ">="
    ms: int
    mark: Mark = _mark()


Condition = Always | Signal | Compare | Goes | OutOfRange | InStage | Not | And | Or | Held | After | Passed
