"""Constants as IEC 61131-3 writes them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from steadfall.logic.nodes import Type, Value

UNITS = (("d", 86_400_000), ("h", 3_600_000), ("m", 60_000), ("s", 1000), ("ms", 1))


def literal(value: Value, kind: Type) -> str:
    """A value as text: `TRUE`, `T#1m30s`, `-3`, `0.25`."""
    return WRITTEN[kind](value)


def time_literal(ms: int) -> str:
    """Whole milliseconds as a duration, such as `T#3s600ms`."""
    rest, parts = abs(ms), []
    for unit, size in UNITS:
        count, rest = divmod(rest, size)
        if count:
            parts.append(f"{count}{unit}")
    return f"T#{'-' if ms < 0 else ''}{''.join(parts) or '0s'}"


def real_literal(value: float) -> str:
    """A number with point; the shortest text that reads back as the same 64 bits."""
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be written as a constant")
    number, _, power = repr(value).partition("e")
    number = number if "." in number else f"{number}.0"
    return f"{number}E{int(power)}" if power else number


WRITTEN: Mapping[Type, Callable[[Any], str]] = {
    Type.BOOL: lambda value: "TRUE" if value else "FALSE",
    Type.INT: str,
    Type.TIME: time_literal,
    Type.REAL: real_literal,
}
