"""A figure: charts, ribbons and strips stacked on one time axis, drawn as one inline SVG.

Rule of this file: the sheet is complete as it stands, on paper and without a script. What a script needs to
zoom it is written on the shapes themselves: `data-t` a moment, `data-from` and `data-to` a stretch,
`data-series` and `data-strip` the signal that a shape draws.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.quantities import clock
from steadfall.report.figure.lanes import Lanes, draw_lanes
from steadfall.report.figure.marks import placed
from steadfall.report.figure.panel import HEAD, Panel, draw, rim
from steadfall.report.figure.scale import Scale, time_ticks
from steadfall.report.figure.svg import short, tag, text, title

WIDTH = 1160.0
LEFT = 96.0
RIGHT = 222.0
TOP = 30.0
GAP = 14.0
FOOT = 34.0
LETTER = 7.2  # px: about the width of a letter of these words
WORDS = 16.0  # px under the rows for the words of what is marked


@frozen
class Marked:
    """A moment that counts: a line through all rows, with its words at the foot. `look`: wrong, power or
    says.
    """

    time_ms: int
    words: str
    look: str = "wrong"


@frozen
class Figure:
    """What is drawn on one sheet, and from when to when."""

    name: str  # its id on the page
    caption: str
    start_ms: int
    end_ms: int
    panels: tuple[Panel, ...]
    rows: tuple[Lanes, ...]
    left: float = LEFT  # px for the names at the left
    marked: tuple[Marked, ...] = ()
    right: float = RIGHT  # px for the values at the right
    still: bool = False  # no script zooms it
    bare: bool = False  # a script draws curves and openings from the records as soon as it is there
    width: float = WIDTH

    @property
    def height(self) -> float:
        """How tall the sheet is."""
        charts = sum(panel.height + HEAD + GAP for panel in self.panels)
        under = sum(rows.height(self.plot) for rows in self.rows)
        return TOP + charts + under + FOOT + WORDS * len(self.marked)

    @property
    def plot(self) -> float:
        """How wide what is drawn over time is."""
        return self.width - self.left - self.right


def draw_figure(figure: Figure) -> str:
    """The figure as an `svg` element."""
    x = Scale(figure.start_ms, figure.end_ms, figure.left, figure.width - figure.right)
    body, place = [], TOP
    for panel in figure.panels:
        body.append(draw(panel, place, x, bare=figure.bare))
        place += panel.height + HEAD + GAP
    for rows in figure.rows:
        body.append(draw_lanes(rows, place, x, bare=figure.bare))
        place += rows.height(figure.plot)
    words = [place + WORDS * (number + 1) - 5 for number in range(len(figure.marked))]
    place += WORDS * len(figure.marked)
    ends = f"{short(TOP)} {short(place)}"
    return tag(
        "svg",
        title(figure.caption),
        _time_axis(x, place, still=figure.still),
        *body,
        *(_marked(one, x, place, foot) for one, foot in zip(figure.marked, words, strict=True)),
        *(() if figure.still else (tag("g", " ", class_="cursors"),)),
        xmlns="http://www.w3.org/2000/svg",
        id=figure.name,
        class_="figure still" if figure.still else "figure",
        viewBox=f"0 0 {short(figure.width)} {short(place + FOOT)}",
        role="img",
        data_window=f"{figure.start_ms} {figure.end_ms}",
        data_plot=f"{short(x.start)} {short(x.end)} {ends}",
        data_bare="" if figure.bare else None,
    )


def _marked(one: Marked, x: Scale, end: float, foot: float) -> str:
    """A line through all rows; its words at the left, or at the right where they would run over the edge."""
    line = tag("path", d=f"M0 {short(TOP)}V{short(end - 2)}")
    left = x(min(max(one.time_ms, x.low), x.high)) - LETTER * len(one.words) > 0
    words = text(one.words, -5 if left else 5, foot, class_=None if left else "after")
    return tag("g", line, words, **placed(one.time_ms, x), class_=f"marked {one.look}")


def _time_axis(x: Scale, foot: float, *, still: bool) -> str:
    """Vertical lines at round moments, with their names below, and above where a script may zoom."""
    moments = time_ticks(x.low, x.high)
    fine = len(moments) > 1 and moments[1] - moments[0] < 1000
    lines = "".join(f"M{short(x(ms))} {short(TOP)}V{short(foot)}" for ms in moments)
    heights = (foot + 15,) if still else (TOP - 9, foot + 15)
    names = [text(clock(ms, fine=fine), x(ms), y, class_="tick mid") for ms in moments for y in heights]
    aside = x.start - (36 if fine else 26)
    unit = text("h:min:s" if x.high >= 3_600_000 else "min:s", aside, foot + 15, class_="side note")
    now = f"at {clock(x.high, fine=fine)}"
    heading = "" if still else text(now, rim(x), TOP - 9, class_="value now", data_now="")
    return tag("path", class_="grid time", d=lines) + tag("g", *names, class_="times") + unit + heading
