"""What must be open or run before a supply is there: main valves, pumps, compressors.

Frozen data in SI; see `plan.model` for the units and the rule.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.plan.model.condition import Condition
from steadfall.plan.model.equipment import Feedback
from steadfall.source import Marks, at


@frozen
class MainValve:
    """A valve in a supply: all that is drawn from the supply passes it.

    `when` is the condition while which it is open; None: while a circuit needs its supply. A circuit begins
    only once it has been open for `lead_ms`; it stays open for `lag_ms` more.
    """

    name: str
    supply: str
    kv: float
    travel: float  # s from shut to open
    when: Condition | None = None
    lead_ms: int = 0
    lag_ms: int = 0
    without_signal: str = "shut"  # "shut", "open" or "stays"
    feedback: Feedback | None = None
    at: Marks = at()

    @property
    def normally_open(self) -> bool:
        """Whether its output is energised to shut it."""
        return self.without_signal == "open"


@frozen
class Pump:
    """A pump or compressor without which a supply has less pressure, or none; as a main valve otherwise."""

    name: str
    supply: str
    run_up: float  # s from standstill to full pressure, and back
    pressure_without: float  # Pa absolute, of the supply while it stands still
    when: Condition | None = None
    lead_ms: int = 0
    lag_ms: int = 0
    at: Marks = at()


Feeder = MainValve | Pump
