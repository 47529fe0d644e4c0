"""Quantities with units, read and written exactly.

Rule of this file: a quantity is written `number unit`, with one space, and only the spellings of `dimensions`
are read. Pressure is gauge or absolute by its unit, never by guess; a temperature level and a
temperature difference are different dimensions. Numbers are exact fractions until the last step, so that any
SI value can be written back as text and read again unchanged.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from difflib import get_close_matches
from fractions import Fraction
from functools import cache

from steadfall.constants import ATMOSPHERE, ZERO_CELSIUS, G
from steadfall.dimensions import DIFFERENCES, DIMENSIONS, HANDY, LOOKALIKES, UNCLEAR

# SI and its prefixes: SI Brochure, 9th ed. (2019). Inch and pound: exact, Int. Yard and Pound Agreement
# (1959). "Gauge" is over the standard atmosphere, not over the day's barometer.
_KELVIN_ZERO, _ATMOSPHERE = Fraction(str(ZERO_CELSIUS)), Fraction(str(ATMOSPHERE))
_PSI = Fraction("0.45359237") * Fraction(str(G)) / Fraction("0.0254") ** 2
# How many of its SI unit a unit is; a test compares each with the registry of a library of units.
_SIZES: Mapping[str, Fraction] = {
    **dict.fromkeys(("1", "metre", "second", "kilogram", "kelvin", "joule", "watt", "percent"), Fraction(1)),
    **dict.fromkeys(("millimetre", "millisecond", "gram", "litre"), Fraction(1, 1000)),
    **dict.fromkeys(("tonne", "kilojoule", "kilowatt"), Fraction(1000)),
    **dict.fromkeys(("bar", "bar_gauge"), Fraction(100_000)),
    **dict.fromkeys(("millibar", "millibar_gauge"), Fraction(100)),
    **dict.fromkeys(("kilopascal", "kilopascal_gauge"), Fraction(1000)),
    **dict.fromkeys(("megapascal", "megapascal_gauge"), Fraction(1_000_000)),
    **dict.fromkeys(("psi", "psi_gauge"), _PSI),
    "gigapascal": Fraction(1_000_000_000),
    "celsius": Fraction(1),
    "fahrenheit": Fraction(5, 9),
    "centimetre": Fraction(1, 100),
    "inch": Fraction("0.0254"),
    "minute": Fraction(60),
    "hour": Fraction(3600),
}
# And where its zero lies.
_ZEROS: Mapping[str, Fraction] = {
    "celsius": _KELVIN_ZERO,
    "fahrenheit": _KELVIN_ZERO - Fraction(160, 9),
    **dict.fromkeys(
        ("bar_gauge", "millibar_gauge", "kilopascal_gauge", "megapascal_gauge", "psi_gauge"), _ATMOSPHERE
    ),
}
_PART = re.compile(r"(/ )?(\w+)(?: \*\* ([0-9]))?")  # of a unit such as `watt / metre ** 2 / kelvin`
_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:e[+-]?[0-9]{1,2})?\Z")
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]{1,20},[0-9]{1,20}\Z")
_LEADING_NUMBER = re.compile(r"[+-]?[0-9][0-9_.,]*(?:[eE][+-]?[0-9]+)?")
_CLOCK = re.compile(
    r"(?:(?P<hours>[0-9]{1,3}):(?P<of_hour>[0-5][0-9])|(?P<minutes>[0-9]{1,4})):"
    r"(?P<seconds>[0-5][0-9](?:\.[0-9]{1,3})?)\Z"
)
_LIKE_CLOCK = re.compile(r"[0-9]+:[0-9:.]*\Z")
_LONGEST_NUMBER = 60
# No quantity of a plan comes near these; within them every SI value can be written back in 60 digits.
_SMALLEST, _LARGEST = Fraction(1, 10**15), Fraction(10**15)
Good = Callable[[Fraction], bool]


class QuantityError(ValueError):
    """A text is not the quantity that was expected; says what was read, what was expected, and an example."""

    def __init__(self, slug: str, read: str, expected: str = "", example: str = "") -> None:
        self.slug, self.read, self.expected, self.example = slug, read, expected, example
        wanted = f" (expected {expected})" if read.endswith("?") else f"; expected {expected}"
        super().__init__(read + wanted if expected else read)


@cache
def _exact(unit: str) -> tuple[Fraction, Fraction]:
    """Factor and offset of a unit, exact."""
    factor = Fraction(1)
    for under, name, power in _PART.findall(unit):
        size = _SIZES[name] ** int(power or 1)
        factor = factor / size if under else factor * size
    return factor, _ZEROS.get(unit, Fraction(0))


def _unit(spelling: str, dimension: str) -> str:
    return DIMENSIONS[dimension].spellings[spelling]


def scale(spelling: str, dimension: str | None = None) -> tuple[float, float]:
    """Factor and offset of a unit: SI = value x factor + offset, so value = (SI - offset) / factor.

    >>> scale("barg")
    (100000.0, 101325.0)
    """
    factor, offset = _exact(_unit(spelling, dimension or dimensions_of(spelling)[0]))
    return float(factor), float(offset)


@cache
def dimensions_of(spelling: str) -> tuple[str, ...]:
    """Every dimension that a spelling can stand for (`m3/h` is a Kv or a volume flow); none for an unknown
    one.
    """
    return tuple(name for name, dimension in DIMENSIONS.items() if spelling in dimension.spellings)


def number(text: str) -> Fraction:
    """A plain decimal number or one such as 1e-6, exact; no `1_000`, `1,5`, `nan` or `inf`."""
    if _DECIMAL_COMMA.match(text):
        point = text.replace(",", ".")
        raise QuantityError("decimal-comma", f"'{_short(text)}' has a decimal comma", "a point", point)
    if not _NUMBER.match(text) or len(text) > _LONGEST_NUMBER:
        raise QuantityError(
            "not-a-number", f"'{_short(text)}' is not a plain number", "digits with a point", "0.8"
        )
    value = Fraction(text)
    if value and not _SMALLEST <= abs(value) <= _LARGEST:
        raise QuantityError(
            "not-a-number", f"'{text}' is beyond all measure", "a number between 1e-15 and 1e15", "0.8"
        )
    return value


def quantity(text: str, dimension: str) -> float:
    """The SI value of a text such as `4 barg`, which must be of this dimension."""
    return float(exact(text, (dimension,))[0])


def milliseconds(text: str) -> int:
    """A time as whole milliseconds, as controllers count it."""
    value = exact(text, ("time",))[0] * 1000
    if value.denominator != 1:
        raise QuantityError(
            "not-whole-ms", f"'{text}' is not a whole number of milliseconds", "a time", "0.8 s"
        )
    return int(value)


def exact(text: str, dimensions: Iterable[str]) -> tuple[Fraction, str, str]:
    """The exact SI value, the dimension and the unit's spelling; the first dimension that has the unit
    counts.
    """
    wanted = tuple(dimensions)
    if "time" in wanted and like_clock(text):
        return _clocked(text), "time", "s"
    digits, spelling = _split(text, wanted)
    value = number(digits)
    for name in wanted:
        if spelling in DIMENSIONS[name].spellings:
            factor, offset = _exact(_unit(spelling, name))
            return value * factor + offset, name, spelling
    raise _misfit(text, spelling, wanted)


def like_clock(text: str) -> bool:
    """Whether a text looks like a time as manuals write it."""
    return bool(_LIKE_CLOCK.match(text))


def _clocked(text: str) -> Fraction:
    """A time as manuals write it, in s: `4:40` is 4 min 40 s, `1:04:40` begins with the hours."""
    found = _CLOCK.match(text)
    if not found:
        read = f"'{_short(text)}' is no time; minutes and seconds have two digits, up to 59"
        raise QuantityError("not-a-quantity", read, "minutes:seconds or hours:minutes:seconds", "4:40")
    hours, of_hour, minutes = (int(found[name] or 0) for name in ("hours", "of_hour", "minutes"))
    return 3600 * hours + 60 * (of_hour + minutes) + Fraction(found["seconds"])


def _split(text: str, wanted: tuple[str, ...]) -> tuple[str, str]:
    """The number and the unit of a text that has both, with one space between."""
    digits, space, spelling = text.partition(" ")
    if space and spelling and not spelling.startswith(" ") and _LEADING_NUMBER.match(digits):
        return digits, spelling
    words, example = _expected(wanted)
    if _NUMBER.match(text):
        raise QuantityError("missing-unit", f"'{_short(text)}' has no unit", words, example)
    found = _LEADING_NUMBER.match(text)
    if found and text[found.end() :].strip():
        raise QuantityError(
            "spelling", f"'{_short(text)}' needs one space between number and unit", words, example
        )
    raise QuantityError("not-a-quantity", f"'{_short(text)}' is not a number with a unit", words, example)


def _misfit(text: str, spelling: str, wanted: tuple[str, ...]) -> QuantityError:
    """What to say of a unit that the wanted dimensions do not have."""
    words, example = _expected(wanted)
    if spelling in UNCLEAR and "pressure" in wanted:
        why, instead = UNCLEAR[spelling]
        return QuantityError("gauge-or-absolute", f"'{_short(text)}' {why}", instead, example)
    others = tuple(name for name in dimensions_of(spelling) if name != DIFFERENCES["pressure"])
    if others:
        return QuantityError(
            "wrong-dimension", f"'{_short(text)}' is {DIMENSIONS[others[0]].words}", words, example
        )
    if spelling in UNCLEAR:
        return QuantityError("wrong-dimension", f"'{_short(text)}' is a pressure", words, example)
    near = LOOKALIKES.get(spelling) or next(iter(get_close_matches(spelling[:20], _all_spellings(), 1)), "")
    hint = f"; did you mean '{near}'?" if near else ""
    return QuantityError("unknown-unit", f"'{_short(text)}' has an unknown unit{hint}", words, example)


@cache
def _all_spellings() -> tuple[str, ...]:
    return tuple(spelling for dimension in DIMENSIONS.values() for spelling in dimension.spellings)


def _expected(wanted: tuple[str, ...]) -> tuple[str, str]:
    """Words and an example for what was wanted."""
    kinds = [DIMENSIONS[name] for name in wanted]
    return " or ".join(kind.words for kind in kinds), kinds[0].example


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


def value_in(si: float, spelling: str, dimension: str | None = None) -> float:
    """An SI value as a number of this unit."""
    factor, offset = scale(spelling, dimension)
    return (si - offset) / factor


def shown(si: float, dimension: str, digits: int = 3, spelling: str | None = None) -> str:
    """An SI value for people: in the preferred unit of its dimension, or in the given one, to so many
    digits.
    """
    spelling = spelling or _handy(si, dimension)
    value = value_in(si, spelling, dimension)
    if not abs(value) < 1e7:
        return f"{value:.3g} {spelling}"
    places = max(0, digits - 1 - _power(float(f"{value:.{digits}g}")))
    text = f"{value:.{places}f}"
    return f"{text.rstrip('0').rstrip('.') if places else text} {spelling}"


def _power(value: float) -> int:
    return int(f"{value:e}".partition("e")[2]) if value else 0


def _handy(si: float, dimension: str) -> str:
    for least, spelling in HANDY.get(dimension, ()):
        if abs(si) >= least:
            return spelling
    return next(iter(DIMENSIONS[dimension].spellings))


def written(si: float, dimension: str, spelling: str | None = None) -> str:
    """A text that `quantity` reads back as exactly this SI value, as short as can be."""
    spelling = spelling or _handy(si, dimension)
    factor, offset = _exact(_unit(spelling, dimension))
    ideal = (Fraction(si) - offset) / factor
    return f"{shortest(ideal, lambda value: float(value * factor + offset) == si)} {spelling}"


def shortest(ideal: Fraction, good: Good) -> str:
    """The decimal with the fewest digits after the point, near the ideal, that is good."""
    for digits in range(_LONGEST_NUMBER):
        rounded = round(ideal * 10**digits)
        if good(Fraction(rounded, 10**digits)):
            return _decimal(rounded, digits)
    raise ValueError(f"{float(ideal)!r} has no short decimal")


def _decimal(whole: int, digits: int) -> str:
    """`whole` x 10^-`digits` in plain digits, or with an exponent where that is shorter."""
    sign, text = "-" if whole < 0 else "", str(abs(whole))
    if digits > 5 and len(text) < digits - 2:
        return f"{sign}{text}e-{digits}"
    text = text.rjust(digits + 1, "0")
    return f"{sign}{text[: len(text) - digits]}.{text[len(text) - digits :]}" if digits else f"{sign}{text}"
