"""How long an answer took."""

from __future__ import annotations

from steadfall.quantities import clock

_MINUTE = 60.0  # s


def took(seconds: float) -> str:
    """A time in s to two decimals, and from a minute on as on a stopwatch: `4.50 s`, `3:14`."""
    return f"{seconds:.2f} s" if round(seconds, 2) < _MINUTE else clock(1000 * seconds)
