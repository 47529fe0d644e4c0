"""A figure: charts, ribbons and strips stacked on one time axis, drawn as one inline SVG.

Rule of this file: the sheet is complete as it stands, on paper and without a script. What a script needs to zoom it
is written on the shapes themselves: `data-t` a moment, `data-from` and `data-to` a stretch, `data-series` and
`data-strip` the signal that a shape draws.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.predict.reading import clock
from steadfall.report.lanes import Lanes, draw_lanes
from steadfall.report.marks import placed
from steadfall.report.panel import HEAD, RIM, Panel, draw
from steadfall.report.scale import Scale, time_ticks
from steadfall.report.svg import short, tag, text, title

WIDTH = 1160.0
LEFT = 96.0
RIGHT = 222.0
TOP = 30.0
GAP = 14.0
FOOT = 34.0
WORDS = 16.0  # px under the rows for the words of what is marked


@frozen
class Marked:
    """A moment at which something went wrong: a line through all rows, with its words at the foot."""

    time_ms: int
    words: str


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

    @property
    def height(self) -> float:
        """How tall the sheet is."""
        charts = sum(panel.height + HEAD + GAP for panel in self.panels)
        return TOP + charts + sum(rows.height for rows in self.rows) + FOOT + (WORDS if self.marked else 0.0)


def draw_figure(figure: Figure) -> str:
    """The figure as an `svg` element."""
    x = Scale(figure.start_ms, figure.end_ms, figure.left, WIDTH - RIGHT)
    body, place = [], TOP
    for panel in figure.panels:
        body.append(draw(panel, place, x))
        place += panel.height + HEAD + GAP
    for rows in figure.rows:
        body.append(draw_lanes(rows, place, x))
        place += rows.height
    place += WORDS if figure.marked else 0.0
    ends = f"{short(TOP)} {short(place)}"
    return tag(
        "svg",
        title(figure.caption),
        _time_axis(x, place),
        *body,
        *(_marked(one, x, place) for one in figure.marked),
        tag("g", " ", class_="cursors"),
        xmlns="http://www.w3.org/2000/svg",
        id=figure.name,
        class_="figure",
        viewBox=f"0 0 {short(WIDTH)} {short(place + FOOT)}",
        role="img",
        data_window=f"{figure.start_ms} {figure.end_ms}",
        data_plot=f"{short(x.start)} {short(x.end)} {ends}",
    )


def _marked(one: Marked, x: Scale, foot: float) -> str:
    line = tag("path", d=f"M0 {short(TOP)}V{short(foot - 2)}")
    return tag("g", line, text(one.words, -5, foot - 5), **placed(one.time_ms, x), class_="marked")


def _time_axis(x: Scale, foot: float) -> str:
    """Vertical lines at round moments, with their names above and below."""
    moments = time_ticks(x.low, x.high)
    fine = len(moments) > 1 and moments[1] - moments[0] < 1000
    lines = "".join(f"M{short(x(ms))} {short(TOP)}V{short(foot)}" for ms in moments)
    names = [text(clock(ms, fine=fine), x(ms), y, class_="tick mid") for ms in moments for y in (TOP - 9, foot + 15)]
    unit = text("h:min:s" if x.high >= 3_600_000 else "min:s", x.start - 26, foot + 15, class_="side note")
    heading = text(f"at {clock(x.high, fine=fine)}", RIM, TOP - 9, class_="value now", data_now="")
    return tag("path", class_="grid time", d=lines) + tag("g", *names, class_="times") + unit + heading
