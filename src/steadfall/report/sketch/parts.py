"""A sketch as data: lines, symbols, boxes and words at their places, and which thing of the plan each is of.

Rule of this file: all that a page or a test asks of a sketch is here (where, how large, of what, on which
line of the plan); how it looks is in `symbols`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum
from itertools import pairwise
from typing import Any

from attrs import asdict, evolve, frozen

from steadfall.report.sketch.letters import SIZES, Look, width

Point = tuple[float, float]


@frozen
class Box:
    """A rectangle of the sheet."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box) -> bool:
        """Whether the two have more than an edge in common."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def holds(self, other: Box) -> bool:
        """Whether the other lies within it."""
        return (
            self.left <= other.left
            and self.right >= other.right
            and self.top <= other.top
            and self.bottom >= other.bottom
        )


@frozen
class Word:
    """A line of words; `y` is where its letters stand. `align`: "start", "middle" or "end"."""

    text: str
    x: float
    y: float
    look: Look = Look.SMALL
    align: str = "start"

    @property
    def box(self) -> Box:
        """The room that it takes, by the estimate of `letters`."""
        wide, size = width(self.text, self.look), SIZES[self.look]
        left = self.x - {"start": 0.0, "middle": wide / 2, "end": wide}[self.align]
        return Box(left, self.y - 0.76 * size, left + wide, self.y + 0.22 * size)


class Sign(StrEnum):
    """A symbol of fixed size, after ISA-5.1 and ISO 14617 (from memory of the standards)."""

    VALVE_SHUT = "valve, shut at rest"  # two triangles, filled, with the box of an actuator
    VALVE_OPEN = "valve, open at rest"
    RELIEF = "relief valve"  # two triangles at an angle, with a spring
    PUMP = "pump"
    COMPRESSOR = "compressor"
    RESISTANCE = "resistance"  # two bars: an outlet, a meter, a strainer
    INSTRUMENT = "instrument"  # a circle with letters
    OUTSIDE = "outside"  # an arrow: leaves the plant
    POINT = "point"  # where an instrument measures, where pipes meet


# Left, up, right and down of the point by which a symbol is placed, px.
EXTENTS: Mapping[Sign, tuple[float, float, float, float]] = {
    Sign.VALVE_SHUT: (14.0, 27.0, 14.0, 8.0),
    Sign.VALVE_OPEN: (14.0, 27.0, 14.0, 8.0),
    Sign.RELIEF: (8.0, 22.0, 14.0, 14.0),
    Sign.PUMP: (12.0, 12.0, 12.0, 12.0),
    Sign.COMPRESSOR: (12.0, 12.0, 12.0, 12.0),
    Sign.RESISTANCE: (4.0, 9.0, 4.0, 9.0),
    Sign.INSTRUMENT: (12.5, 12.5, 12.5, 12.5),
    Sign.OUTSIDE: (0.0, 5.0, 11.0, 5.0),
    Sign.POINT: (2.5, 2.5, 2.5, 2.5),
}


@frozen
class Symbol:
    """A symbol at its place."""

    sign: Sign
    x: float
    y: float

    @property
    def box(self) -> Box:
        """The room that it takes."""
        left, up, right, down = EXTENTS[self.sign]
        return Box(self.x - left, self.y - up, self.x + right, self.y + down)


class Sort(StrEnum):
    """What a box of the sketch is."""

    SUPPLY = "supply"
    FLAG = "flag"  # a line goes on at the flag of the same name
    BODY = "body"
    STREAM = "gas stream"
    DRILLED = "drilled path"
    COIL = "coil"
    JACKET = "jacket"
    CHANNEL = "channel"  # of a shape that the plan does not say
    OPEN = "open"  # a piece of a strip
    SHUT = "shut"
    ANY = "hangs on a signal"


@frozen
class Area:
    """A box of any size."""

    sort: Sort
    box: Box


class Carries(StrEnum):
    """What a line carries."""

    WATER = "water"
    AIR = "air"
    BOTH = "water and air"
    READING = "reading"  # the leader of an instrument


@frozen
class Pipe:
    """A line through points, straight up or across between them."""

    points: tuple[Point, ...]
    carries: Carries

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {"carries": self.carries.value, "points": [list(point) for point in self.points]}

    @property
    def pieces(self) -> tuple[Box, ...]:
        """Its straight pieces, each a box without width or without height."""
        return tuple(
            Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
            for a, b in pairwise(self.points)
        )


@frozen
class Part:
    """A thing of the plan as it is drawn. `of` is its name in the plan, `line` its line there, `words` say
    what it is.
    """

    of: str
    line: int
    words: str
    symbols: tuple[Symbol, ...] = ()
    areas: tuple[Area, ...] = ()
    names: tuple[Word, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {
            "of": self.of,
            "line": self.line,
            "words": self.words,
            "symbols": [asdict(one, value_serializer=_plain) for one in self.symbols],
            "areas": [{"sort": one.sort.value, **asdict(one.box)} for one in self.areas],
            "names": [asdict(one, value_serializer=_plain) for one in self.names],
        }


def _plain(_owner: type, _field: Any, value: Any) -> Any:
    """A member of a table as its text."""
    return value.value if isinstance(value, StrEnum) else value


@frozen
class Sketch:
    """The whole sheet."""

    title: str
    width: float
    height: float
    parts: tuple[Part, ...]
    pipes: tuple[Pipe, ...]
    notes: tuple[Word, ...] = ()  # that are of no one thing

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md), px from the upper left."""
        return {
            "width": self.width,
            "height": self.height,
            "parts": [part.as_json() for part in self.parts],
            "pipes": [pipe.as_json() for pipe in self.pipes],
            "notes": [asdict(word, value_serializer=_plain) for word in self.notes],
        }


@frozen
class Drawn:
    """Some of a sheet, to be put together."""

    parts: tuple[Part, ...] = ()
    pipes: tuple[Pipe, ...] = ()

    def __add__(self, other: Drawn) -> Drawn:
        return evolve(self, parts=self.parts + other.parts, pipes=self.pipes + other.pipes)


def together(drawn: Iterable[Drawn]) -> Drawn:
    """All of them."""
    return sum(drawn, Drawn())


def lines(texts: Iterable[str], x: float, y: float, look: Look = Look.SMALL, align: str = "start",
          *, up: bool = False) -> tuple[Word, ...]:  # fmt: skip
    """Lines one under the other, the first at `y`; with `up` the last is there."""
    rows, step = tuple(texts), line_step(look)
    first = y - step * (len(rows) - 1) if up else y
    return tuple(Word(text, x, first + step * number, look, align) for number, text in enumerate(rows))


def line_step(look: Look) -> float:
    """From line to line, px."""
    return SIZES[look] + 2.0
