"""The rows under the charts: a ribbon of stages for each circuit and a timing strip for each of its
valves.
"""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import wrap

from attrs import frozen

from steadfall.quantities import clock
from steadfall.report.figure.panel import rim
from steadfall.report.figure.scale import Scale
from steadfall.report.figure.strips import Span, strip
from steadfall.report.figure.svg import short, tag, text, title

RIBBON = 19.0  # px: height of a ribbon
STRIP = 12.0  # px: height of a strip
ROW = 19.0  # px: from strip to strip
LETTER = 6.9  # px: about the width of a letter in a ribbon
NAME_LETTER = 8.6  # px: about the width of a letter of a name at the left
LINE = 12.0  # px: from line to line of a name of several
WORDS_ROW = 16.0  # px: from line to line of words under the strips
WORDS_LETTER = 7.0  # px: about the width of a letter of them, as large as a printed sheet has them
LEAST = 96.0  # px for the names at the left
DEEPEST = 0.30  # darkness of the highest stage of a ribbon


def room(labels: Iterable[str]) -> float:
    """The px that names at the left of the sheet take."""
    lines = (line for label in labels for line in label.split("\n"))
    return max(LEAST, NAME_LETTER * max(map(len, lines), default=0) + 16)


@frozen
class Segment:
    """A stretch of time in one stage. `depth` 0..1: how strong the cooling is; `kind`: idle, stage or
    finish.
    """

    start_ms: int
    end_ms: int
    name: str
    depth: float
    kind: str


@frozen
class Lane:
    """A strip: its short name, in lines where it is long, its signal, when it was open or on, where it is not
    known, and what it did in all. `opens`: it is a valve's, else of a signal that is on or off.
    """

    label: str
    name: str
    openings: tuple[Span, ...]
    unknown: tuple[Span, ...] = ()
    count: str = ""
    opens: bool = True

    @property
    def height(self) -> float:
        """How much of the sheet it takes."""
        return ROW + LINE * self.label.count("\n")


@frozen
class Lanes:
    """The rows of one circuit, and what is said in words under them."""

    title: str
    segments: tuple[Segment, ...]
    lanes: tuple[Lane, ...]
    said: str = ""

    def lines(self, width: float) -> list[str]:
        """What is said in words, on a sheet so wide."""
        return wrap(self.said, max(20, int(width / WORDS_LETTER)))

    def height(self, width: float) -> float:
        """How much of the sheet the rows take, where it is so wide."""
        return RIBBON + 8 + sum(one.height for one in self.lanes) + WORDS_ROW * len(self.lines(width)) + 10


def draw_lanes(rows: Lanes, top: float, x: Scale, *, bare: bool = False) -> str:
    """The ribbon and the strips as markup; bare: the openings are left out."""
    parts = [text(rows.title, x.start - 9, top + 14, class_="side strong")]
    parts.append(tag("g", *(_segment(one, top, x) for one in rows.segments), class_="ribbon"))
    place = top + RIBBON + 8
    for lane in rows.lanes:
        for number, line in enumerate(lane.label.split("\n")):
            parts.append(text(line, x.start - 9, place + 10 + LINE * number, class_="side"))
        seen = () if bare else lane.openings
        parts.append(strip(lane.name, seen, lane.unknown, x, (place, STRIP), opens=lane.opens))
        parts.append(text(lane.count, x.end + 8, place + 10, class_="name"))
        parts.append(text("", rim(x), place + 10, class_="value", data_state=lane.name))
        place += lane.height
    for number, line in enumerate(rows.lines(x.end - x.start)):
        parts.append(text(line, x.start, place + WORDS_ROW * number + 10, class_="note"))
    return tag("g", *parts, class_="lanes")


def _segment(one: Segment, top: float, x: Scale) -> str:
    left, right = max(x.start, x(one.start_ms)), min(x.end, x(one.end_ms))
    width = right - left
    seen = width > 0
    fits = width > LETTER * len(one.name) + 8
    words = f"{one.name}, {clock(one.start_ms, fine=True)} to {clock(one.end_ms, fine=True)}"
    box = tag("rect", x=short(left), y=short(top), width=short(max(width, 0.0)), height=short(RIBBON),
              fill_opacity=f"{DEEPEST * one.depth:.2f}")  # fmt: skip
    name = text(one.name, (left + right) / 2, top + 13.5, display=None if fits else "none")
    return tag("g", title(words), box, name, class_=f"span {one.kind}", data_from=one.start_ms,
               data_to=one.end_ms,
               display=None if seen else "none")  # fmt: skip
