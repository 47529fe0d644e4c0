"""What the controller shows and sounds besides its valves: outputs by condition, and alarms.

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
