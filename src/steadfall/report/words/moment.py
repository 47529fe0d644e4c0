"""When a session began, in words."""

from __future__ import annotations


def moment_of(written: str) -> str:
    """A date and a time as a person reads it: `2026-11-29 08:21:50 UTC`."""
    return written.replace("T", " ").replace("+00:00", " UTC")
