"""By what time a rate is read: by the second or by the minute, as the plan has it."""

from __future__ import annotations

from steadfall.plan.model import Limit

SLOWEST_BY_SECOND = 10.0  # s: where no unit is said, a rate over a shorter window is read by the second


def by_second(limit: Limit) -> bool:
    """Whether a limit is of a rate that is read by the second."""
    if limit.measure == "value" or "K/min" in limit.text:
        return False
    return "K/s" in limit.text or limit.window < SLOWEST_BY_SECOND
