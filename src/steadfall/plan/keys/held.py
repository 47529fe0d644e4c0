"""What the value of a key is once it is read, where it is more than a number, a text or a condition.

Rule of this file: data only.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.source import NOWHERE, Mark


@frozen
class Measured:
    """A quantity with its dimension and the spelling of its unit; "" where any will do."""

    value: float
    dimension: str
    unit: str = ""


@frozen
class Spanned:
    """Two quantities of one dimension and unit, in the order written."""

    first: float
    second: float
    dimension: str
    unit: str


@frozen
class Bounded:
    """`at most` or `at least` and a quantity."""

    bound: str  # "at_most" or "at_least"
    value: float
    unit: str = ""


@frozen
class Part:
    """A part of a short sentence, with its place."""

    text: str
    mark: Mark = NOWHERE


@frozen
class Visits:
    """`1 3 2 4`: parts of a body by their numbers."""

    parts: Part


@frozen
class Delay:
    """`after 10 s`."""

    time: Part


@frozen
class Aim:
    """`splice below 70 degC`."""

    of: Part
    bound: Part
    value: Part


@frozen
class Sensed:
    """`splice`, or `splice above 95 degC`."""

    of: Part
    bound: Part | None = None
    value: Part | None = None


@frozen
class Ends:
    """`4 .. 20 mA`, or `0 .. 27648`."""

    low: Part
    high: Part
    unit: Part | None = None


@frozen
class Rooted:
    """`cut off below 2 kg/min`."""

    value: Part


@frozen
class Margin:
    """`3.6 mA`, `-300` or `-5 degC`."""

    value: Part


@frozen
class Instead:
    """`go on with 180 degC`."""

    value: Part


@frozen
class Openings:
    """`25 openings of upper.mist in 60 s`."""

    count: Part
    valve: Part
    time: Part


@frozen
class Due:
    """`500000`, or `2000 h`."""

    count: Part
    hours: Part | None = None


@frozen
class Mishap:
    """`upper.flood_is_open stuck off`, or `power cut`."""

    cut: Part | None = None
    signal: Part | None = None
    what: Part | None = None
