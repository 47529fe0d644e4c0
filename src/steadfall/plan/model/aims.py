"""What a good cool-down keeps to and what must hold for ever: limits, goals, scenarios, requirements; and the
wiring.

Frozen data in SI; see `plan.model` for the units and the rule.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import field, frozen

from steadfall.plan.model.condition import Condition
from steadfall.plan.model.upset import Wrong
from steadfall.source import Marks, at


@frozen
class Limit:
    """What a good cool-down keeps to: a plant quantity, how it is measured, and a bound.

    `measure` is "value", "fall_rate" or "rise_rate"; a rate is in K/s over a sliding `window` in s, a fall
    rate positive when cooling. `bound` is "at_most" or "at_least". `between` restricts it to a temperature
    range of the same quantity (upper, lower) in K.
    """

    of: str
    measure: str
    bound: str
    value: float
    window: float
    between: tuple[float, float] | None
    text: str = field(eq=False)  # as a person wrote it, for tables
    at: Marks = at()


@frozen
class Goal:
    """What the cool-down is for: a quantity below (or above) a value within a time."""

    of: str
    bound: str  # "below" or "above"
    value: float
    within: float  # s
    text: str = field(eq=False)
    at: Marks = at()


@frozen
class Tolerance:
    """How far a number of the plan may be off: +- `value`, a fraction of it or a difference in K."""

    of: str
    value: float
    relative: bool
    text: str = field(eq=False)
    at: Marks = at()


@frozen
class Accepted:
    """A single failure that may do harm unseen, known to whoever signs the plan, and why it stands."""

    failure: str  # as the table of single failures calls it: `upper.mist stuck open`
    because: str
    at: Marks = at()


@frozen
class Step:
    """A moment of a scenario: what takes another value then.

    `values` are of inputs (switch 0 or 1, SI, or percent), of a sensor too; None gives it back to the plant.
    `supplies` are pressures and temperatures in SI, by the name of supply and number. `mishaps` are what
    goes wrong with a thing, or is right again. `presses` are buttons that are pressed and let go again.
    """

    time_ms: int
    values: Mapping[str, float | None]
    supplies: Mapping[str, float] = field(factory=dict)
    mishaps: Mapping[str, Wrong] = field(factory=dict)
    presses: tuple[str, ...] = ()
    at: Marks = at()


@frozen
class Scenario:
    """What the inputs do over time.

    It ends at `until_ms`, or, when that is None, once every goal is reached and the finish is done.
    """

    name: str
    steps: tuple[Step, ...]
    until_ms: int | None
    longest_ms: int
    panel: Mapping[str, float] = field(factory=dict)  # settings that are not at their defaults, in SI
    at: Marks = at()


@frozen
class Never:
    """The condition never holds."""

    condition: Condition
    text: str = field(eq=False)
    name: str = ""
    at: Marks = at()


@frozen
class Whenever:
    """When the first holds, the second follows within a time (0 = in the same scan) and, if asked, lasts."""

    condition: Condition
    then: Condition
    within_ms: int
    lasting_ms: int
    text: str = field(eq=False)
    name: str = ""
    at: Marks = at()


@frozen
class EveryOpening:
    """Every opening of a valve lasts at least or at most so long, unless a permissive or trip ends it."""

    valve: str
    least_ms: int | None
    most_ms: int | None
    unless_cut: bool = False
    text: str = field(eq=False, default="")
    name: str = ""
    at: Marks = at()


@frozen
class AtMost:
    """At most so many openings of a valve in any stretch of time."""

    valve: str
    count: int
    in_ms: int
    text: str = field(eq=False)
    name: str = ""
    at: Marks = at()


@frozen
class Exclusive:
    """At most one of the conditions holds at a time."""

    conditions: tuple[Condition, ...]
    text: str = field(eq=False)
    name: str = ""
    at: Marks = at()


Requirement = Never | Whenever | EveryOpening | AtMost | Exclusive


@frozen
class Fault:
    """What goes wrong outside the controller: an input and what is the matter with it, or a power cut.

    `may_break` names requirements that need not hold under it.
    """

    what: str  # "power cut", "stuck on", ...
    signal: str = ""  # the input; "" of a power cut
    may_break: tuple[str, ...] = ()
    at: Marks = at()

    @property
    def phrase(self) -> str:
        """As it is written."""
        return f"{self.signal} {self.what}".strip()


@frozen
class Terminal:
    """Where a signal is wired and addressed: terminal, structured-text address, Modbus or OPC UA address."""

    signal: str
    terminal: str = ""
    address: str = ""
    modbus: str = ""
    opcua: str = ""
    at: Marks = at()


@frozen
class Io:
    """The wiring: given row by row in the plan, or as the list that came with the panel drawing."""

    terminals: Mapping[str, Terminal] = field(factory=dict)
    list_file: str | None = None
    columns: Mapping[str, str] = field(factory=dict)  # our word -> the list's column heading
    at: Marks = at()
