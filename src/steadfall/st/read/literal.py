"""Constants of structured text: durations in all their forms, numbers of every base, typed constants."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from steadfall.logic.nodes import LARGEST, Constant, Ends, Type

# What whole numbers of each length hold (IEC 61131-3, table of elementary types); those of 64 bit as far as
# they are counted here.
HOLDS: Mapping[str, Ends] = {
    "SINT": (-(2**7), 2**7 - 1),
    "INT": (-(2**15), 2**15 - 1),
    "DINT": (-(2**31), 2**31 - 1),
    "LINT": (-LARGEST, LARGEST),
    "USINT": (0, 2**8 - 1),
    "UINT": (0, 2**16 - 1),
    "UDINT": (0, 2**32 - 1),
    "ULINT": (0, LARGEST),
}
# The types that Steadfall reads; whole numbers of every length are one type.
TYPES = {
    "BOOL": Type.BOOL,
    **dict.fromkeys(HOLDS, Type.INT),
    **dict.fromkeys(("REAL", "LREAL"), Type.REAL),
    **dict.fromkeys(("TIME", "LTIME"), Type.TIME),
}
UNITS_MS = {
    "d": Decimal(86_400_000),
    "h": Decimal(3_600_000),
    "m": Decimal(60_000),
    "s": Decimal(1000),
    "ms": Decimal(1),
}
_ORDER = tuple(UNITS_MS)
_PART = re.compile(r"([0-9][0-9_]*(?:\.[0-9][0-9_]*)?)(ms|us|ns|d|h|m|s)_?")


def duration(text: str) -> int:
    """A duration such as `T#1h2m`, `TIME#-1.5s` or `t#1d_2h` in whole ms; raises ValueError."""
    said = text.partition("#")[2].lower()
    sign = -1 if said.startswith("-") else 1
    said, at, total, used, last = said.lstrip("+-"), 0, Decimal(0), -1, ""
    while at < len(said):
        found = _PART.match(said, at)
        if found is None or "." in last:
            raise ValueError("days, hours, minutes, seconds and milliseconds in that order, such as T#1m30s")
        last, unit = found.group(1), found.group(2)
        if unit not in UNITS_MS:
            raise ValueError("times of whole milliseconds")
        if _ORDER.index(unit) <= used:
            raise ValueError("each unit once, the greater first, such as T#1m30s")
        used, at = _ORDER.index(unit), found.end()
        total += Decimal(last.replace("_", "")) * UNITS_MS[unit]
    if total != int(total):
        raise ValueError("times of whole milliseconds")
    if total > LARGEST or said.endswith("_"):
        raise ValueError("a time that a controller can count")
    return sign * int(total)


def whole(text: str) -> int:
    """A whole number, also `16#FF` or `2#1010_0000`; raises ValueError."""
    if len(text) > 70:
        raise ValueError("a number that a controller can hold")
    said = text.replace("_", "")
    base, mark, digits = said.partition("#")
    return int(digits, int(base)) if mark else int(said)


def real(text: str) -> float:
    """A number with a point; raises ValueError."""
    try:
        value = float(Decimal(text.replace("_", "")))
    except (InvalidOperation, OverflowError):
        value = float("inf")
    if value - value != 0.0:
        raise ValueError("a number that a controller can hold")
    return value


def typed(text: str) -> Constant:
    """A constant with its type, such as `INT#5`, `BOOL#TRUE` or `REAL#-1.5`; raises ValueError."""
    kind_word, _, said = text.partition("#")
    kind = TYPES.get(kind_word.upper())
    word = said.upper()
    if kind is Type.BOOL and word in ("TRUE", "FALSE", "1", "0"):
        return Constant(word in ("TRUE", "1"), Type.BOOL)
    sign = -1 if said.startswith("-") else 1
    said = said.lstrip("+-")
    if kind is Type.INT:
        value, (low, high) = sign * whole(said), HOLDS[kind_word.upper()]
        if not low <= value <= high:
            raise ValueError(f"a number from {low} to {high}")
        return Constant(value, Type.INT)
    if kind is Type.REAL:
        return Constant(sign * real(said), Type.REAL)
    raise ValueError("a constant of type BOOL, INT, REAL or TIME")
