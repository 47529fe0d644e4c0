"""What the controller is handed for a measured value: the value itself, or milliamperes, volts or counts."""

from __future__ import annotations

from steadfall.plan.model import Input, Raw
from steadfall.units import scale

DIGITS = 9  # 140 degC, kept as 413.15 K, is 140 again and not 139.99999999999997


def scale_of(item: Input) -> tuple[float, float]:
    """Factor and offset of what the controller is handed: SI = what it is handed x factor + offset."""
    if item.raw is None:
        return scale(item.unit, item.kind)
    factor = (item.high - item.low) / (item.raw.high - item.raw.low)
    return factor, item.low - item.raw.low * factor


def aloud(raw: Raw) -> str:
    """`4 .. 20 mA`."""
    return f"{raw.low:.15g} .. {raw.high:.15g} {raw.unit}".rstrip()
