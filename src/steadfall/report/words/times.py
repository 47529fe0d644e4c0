"""When a session began, and how long an answer took, in words."""

from __future__ import annotations

from steadfall.quantities import clock

_MINUTE = 60.0  # s


def moment_of(written: str) -> str:
    """A date and a time as a person reads it: `2026-11-29 08:21:50 UTC`."""
    return written.replace("T", " ").replace("+00:00", " UTC")


def took(seconds: float) -> str:
    """A time in s to two decimals, and from a minute on as on a stopwatch: `4.50 s`, `3:14`."""
    return f"{seconds:.2f} s" if round(seconds, 2) < _MINUTE else clock(1000 * seconds)
