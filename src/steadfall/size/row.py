"""What is known of one size: asked, given, how they stand to each other, why, and what would do.

Rule of this file: data and its plain forms; the names in `as_json` are stable (docs/json.md).
"""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from attrs import evolve, field, frozen

from steadfall.quantities import METRIC, Reading, Units
from steadfall.size.series import HOUR
from steadfall.source import Mark

ROOM = 1.1  # given over asked from which a size is ok: a tenth to spare (our choice)


class Check(StrEnum):
    """What is looked at, in the words of tables and of `as_json`."""

    TOGETHER = "all open together"
    RATING = "pressure of supply"
    FLOW = "water for the goal"
    KV = "kv"
    CAVITATION = "cavitation"
    SWEEP = "air speed in channel"
    OPENING = "shortest opening"
    PAUSE = "shortest pause"
    LIFE = "rated life"
    SPEED = "speed in line"
    SURGE = "surge on closing"
    STEAM_OUT = "steam out"
    WATER_OUT = "water out"
    RELIEF = "steam at relief"
    RELIEF_WATER = "water at relief"
    RELIEF_AIR = "air at relief"
    EMPTYING = "emptying"


class Standing(StrEnum):
    """How what is given stands to what is asked."""

    OK = "ok"
    TIGHT = "tight"
    SHORT = "short"


def standing(margin: float) -> Standing:
    """Short below 1, tight up to a tenth above it."""
    if margin < 1.0:
        return Standing.SHORT
    return Standing.OK if margin >= ROOM else Standing.TIGHT


@frozen
class Would:
    """The next standard size that would be ok: a Kv in m3/s at 1 bar, or a DN."""

    kv: float | None = None
    dn: int | None = None

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {"kv_m3_h": None if self.kv is None else round(self.kv * HOUR, 6), "dn": self.dn}


def would_be(kv: float | None) -> Would | None:
    """A Kv that would do, where there is one."""
    return None if kv is None else Would(kv)


@frozen
class Said:
    """A sentence with its amounts as what they are, so that it can be read in other units."""

    parts: tuple[str | tuple[Reading, float], ...]

    def text(self, units: Units = METRIC) -> str:
        """As a person reads it."""
        return "".join(one if isinstance(one, str) else units.of(one[0]).text(one[1]) for one in self.parts)

    def also(self, *parts: str | tuple[Reading, float]) -> Said:
        """The same, and more."""
        return Said((*self.parts, *parts))


def said(*parts: str | tuple[Reading, float]) -> Said:
    """A sentence of words and amounts, in their order."""
    return Said(parts)


def _said(words: str | Said) -> Said:
    return Said((words,)) if isinstance(words, str) else words


@frozen
class Row:
    """One size. `asked` is what it must at least give, or with `at_most` what it may at most come to."""

    about: str  # the supply, or what of a circuit type
    check: Check
    asked: float
    given: float
    reading: Reading
    standing: Standing
    reason: Said = field(converter=_said)
    mark: Mark
    at_most: bool = False
    would: Would | None = None

    @property
    def margin(self) -> float:
        """What is given over what is asked, turned round where less is better: 1 is just enough."""
        over, under = (self.asked, self.given) if self.at_most else (self.given, self.asked)
        return over / under if under > 0.0 else float("inf")

    def as_json(self) -> dict[str, Any]:
        """In stable names; SI."""
        return {
            "about": self.about,
            "check": self.check.value,
            "asked": self.asked,
            "at_most": self.at_most,
            "given": self.given,
            "unit": self.reading.si,
            "standing": self.standing.value,
            "reason": self.reason.text(),
            "would_do": None if self.would is None else self.would.as_json(),
            "line": self.mark.line,
        }


def at_least(about: str, check: Check, asked: float, given: float, reading: Reading, **rest: Any) -> Row:
    """A row of what must be given at least."""
    return _judged(Row(about, check, asked, given, reading, Standing.OK, **rest))


def at_most(about: str, check: Check, allowed: float, given: float, reading: Reading, **rest: Any) -> Row:
    """A row of what may be given at most."""
    return _judged(Row(about, check, allowed, given, reading, Standing.OK, at_most=True, **rest))


def _judged(row: Row) -> Row:
    return evolve(row, standing=standing(row.margin))
