"""What the controller shows, sounds and counts besides its valves: outputs, alarms, counters.

Frozen data in SI; see `plan.model` for the units and the rule.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.plan.model.condition import Condition
from steadfall.source import Marks, at


@frozen
class Output:
    """A lamp, horn, pump or release: on while its condition holds, with delays, flashing or steady."""

    name: str
    on: Condition
    on_after_ms: int = 0  # the condition has held so long
    off_after_ms: int = 0  # so long after it has ended
    flash_ms: int = 0  # so long on, so long off; 0: steady
    at: Marks = at()


@frozen
class Alarm:
    """A condition that a person must answer to; every trip is one besides. Words after ISA-18.2."""

    name: str
    when: Condition
    priority: str  # "high", "medium" or "low"
    at: Marks = at()


@frozen
class Counter:
    """How often a condition has begun (the openings of a valve), or for how many whole hours it has held.

    It is kept while power is off, and 0 while `reset` holds. From `due` on its signal `NAME.due` is true.
    """

    name: str
    of: Condition
    of_openings: bool
    reset: Condition
    due: float | None = None  # openings, or hours
    at: Marks = at()
