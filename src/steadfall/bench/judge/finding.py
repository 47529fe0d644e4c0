"""What is said of a thing that was looked at, and how a recording is to be read."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from attrs import frozen

from steadfall.logic.nodes import Value


class Said(StrEnum):
    """What is said of something that was looked at."""

    PASS = "pass"  # noqa: S105  (a verdict)
    FAIL = "fail"
    NOT_EXERCISED = "not exercised"
    NOT_JUDGED = "could not be judged"


@frozen
class Finding:
    """One thing that was looked at: what is said of it, why, when in ms, and its line in the plan."""

    about: str
    said: Said
    why: str
    at_ms: float | None = None
    line: int = 0

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        return {
            "about": self.about,
            "said": self.said.value,
            "why": self.why,
            "at_ms": self.at_ms,
            "line": self.line,
        }


@frozen
class Terms:
    """How a recording is to be read: scan times in ms, what a value takes on its way, when power came."""

    shortest_scan: float
    longest_scan: float
    link_ms: float = 5.0
    cycle_ms: int = 50
    first_scan: tuple[float, float] | None = None  # None: at rest before the session

    def first_of(self, power: tuple[float, float] | None) -> tuple[float, float] | None:
        """When the first scan was of a part of a recording: of the whole, or of what came after power."""
        if self.first_scan is None or power is None:
            return self.first_scan
        return power[0], power[1] + self.longest_scan

    def as_json(self) -> dict[str, Any]:
        """For the head of a recording."""
        return {
            "shortest_scan_ms": self.shortest_scan, "longest_scan_ms": self.longest_scan,
            "link_ms": self.link_ms, "cycle_ms": self.cycle_ms, "first_scan_ms": self.first_scan,
        }  # fmt: skip


def terms_of(head: Mapping[str, Any]) -> Terms:
    """From the head of a recording."""
    first = head["first_scan_ms"]
    return Terms(
        head["shortest_scan_ms"], head["longest_scan_ms"], head["link_ms"], head["cycle_ms"],
        None if first is None else (first[0], first[1]),
    )  # fmt: skip


def in_words(value: Value) -> str:
    """A value as a person says it."""
    if isinstance(value, bool):
        return "on" if value else "off"
    return str(value)
