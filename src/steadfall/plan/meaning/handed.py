"""What the controller is handed for a measured value: the value itself, or milliamperes, volts or counts.

Rule of this file: one place says both ways, for numbers and for arrays. A differential-pressure transmitter
hands over the square of a flow; the controller takes the root.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import frozen

from steadfall.plan.model import Input, Raw
from steadfall.units import scale

DIGITS = 9  # 140 degC, kept as 413.15 K, is 140 again and not 139.99999999999997
_LEAST = 1e-300


@frozen
class Handed:
    """SI = what is handed over x factor + offset; with a `top` the root of that, which is itself at the
    top.
    """

    factor: float
    offset: float
    top: float = 0.0  # SI

    def of(self, si: Any) -> Any:
        """A value, SI, as it is handed over."""
        even = si * abs(si) / self.top if self.top else si
        return (even - self.offset) / self.factor

    def si(self, handed: Any) -> Any:
        """What is handed over, in SI."""
        even = handed * self.factor + self.offset
        return even * (self.top / (abs(even) + _LEAST)) ** 0.5 if self.top else even


# A whole number of a controller -> between which ends it lies (IEC 61131-3), the shortest first.
WHOLE: Mapping[str, tuple[int, int]] = {
    "INT": (-32_768, 32_767),
    "UINT": (0, 65_535),
    "DINT": (-(2**31), 2**31 - 1),
}

AS_IT_IS = Handed(1.0, 0.0)


def handed_by(item: Input) -> Handed:
    """How an input hands over what it measures."""
    if item.is_digital:
        return AS_IT_IS
    if item.raw is None:
        return Handed(*scale(item.unit, item.kind))
    return on_line((item.low, item.high), (item.raw.low, item.raw.high), root=item.cut_off is not None)


def whole_type(item: Input) -> str | None:
    """The type in which counts arrive, the first that holds both ends of what is handed over; None where what
    is handed over is no count.
    """
    if item.is_digital or item.raw is None or item.raw.unit:
        return None
    low, high = item.raw.low, item.raw.high
    return next(word for word, (least, most) in WHOLE.items() if least <= low and high <= most)


def shown_ends(item: Input) -> tuple[float, float]:
    """The lowest and the highest that an input can show, SI; counts no more than their type holds."""
    low, high = item.speaks
    word = whole_type(item)
    if word is None:
        return low, high
    least, most = (handed_by(item).si(float(end)) for end in WHOLE[word])
    return max(low, least), min(high, most)


def on_line(span: tuple[float, float], raw: tuple[float, float], *, root: bool = False) -> Handed:
    """Between the ends of a range, SI, and what is handed over there."""
    factor = (span[1] - span[0]) / (raw[1] - raw[0])
    return Handed(factor, span[0] - raw[0] * factor, span[1] if root else 0.0)


def aloud(item: Input, raw: Raw) -> str:
    """`4 .. 20 mA`, and where the controller takes the root of it."""
    root = ", root taken" if item.cut_off is not None else ""
    return f"{raw_aloud(raw)}{root}"


def raw_aloud(raw: Raw) -> str:
    """`4 .. 20 mA`."""
    return f"{raw.low:.15g} .. {raw.high:.15g} {raw.unit}".rstrip()
