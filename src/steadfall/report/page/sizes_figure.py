"""The figures of sizes: how far each stands from being short, and what supplies give to how many circuits.

Rule of this file: shape as well as colour tells what is short; a figure is complete on paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from attrs import frozen

from steadfall.report.figure.figure import LETTER, WIDTH
from steadfall.report.figure.svg import line, polyline, short, tag, text, title
from steadfall.report.words.names import spoken
from steadfall.size.row import ROOM, Row, Standing
from steadfall.size.rows.supplies import Sharing
from steadfall.size.sizes import Sizes

RIGHT, TOP, FOOT, ROW = 90.0, 26.0, 30.0, 20.0
LOW, HIGH = 0.25, 64.0  # given over asked; beyond these the mark stands at the edge
TICKS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0)
TALL, HELD = 180.0, 1.25  # px of the chart of supplies; its roof as a share
LOOKS = ("look-a", "look-b", "look-c", "look-d")
MARGINS = "How far each size stands from being short: given over asked"
SHARED = "What a supply still gives each circuit, by how many draw on it at once"


@frozen
class Axis:
    """Where a margin stands, right of the names."""

    left: float

    def __call__(self, margin: float) -> float:
        """Its place in px."""
        share = math.log(min(max(margin, LOW), HIGH) / LOW) / math.log(HIGH / LOW)
        return self.left + share * (WIDTH - RIGHT - self.left)


def margins_figure(sizes: Sizes) -> str:
    """A line for each row: a ring where it is ok, a filled ring where tight, a filled square where short."""
    foot = TOP + ROW * len(sizes.rows)
    x = Axis(24.0 + LETTER * max((len(_named(row)) for row in sizes.rows), default=0))
    return _sheet(
        "margins",
        MARGINS,
        foot + FOOT,
        *(_tick(value, x, foot) for value in TICKS),
        line(x(1.0), TOP - 6, x(1.0), foot, class_="rule"),
        line(x(ROOM), TOP - 6, x(ROOM), foot, class_="rule limit"),
        text("just enough", x(1.0) - 6, TOP - 9, class_="note end"),
        text("a tenth to spare", x(ROOM) + 6, TOP - 9, class_="note"),
        *(
            _row(row, x, TOP + ROW * (k + 0.5), row.reason.text(sizes.units))
            for k, row in enumerate(sizes.rows)
        ),
    )


def _named(row: Row) -> str:
    return f"{spoken(row.about)}: {row.check}"


def _tick(value: float, x: Axis, foot: float) -> str:
    grid = line(x(value), TOP, x(value), foot, class_="grid")
    return grid + text(f"{value:g}", x(value), foot + 15, class_="tick mid")


def _row(row: Row, axis: Axis, y: float, reason: str) -> str:
    """The name, a thin line from just enough to the mark, the mark and its number."""
    x, bad, words = axis(row.margin), row.standing is Standing.SHORT, _named(row)
    inside = "fill: var(--ink)" if row.standing is Standing.TIGHT else "fill: var(--paper)"
    if bad:
        mark = tag("rect", x=x - 5, y=y - 5, width=10.0, height=10.0, style="fill: var(--wrong)")
    else:
        mark = tag("circle", cx=x, cy=y, r=4.5, style=f"{inside}; stroke: var(--ink); stroke-width: 1.3")
    number = f"{row.margin:.2g}" if row.margin < HIGH else "more" if row.margin < math.inf else "none asked"
    return tag(
        "g",
        title(f"{words}: {row.standing}. {reason}"),
        text(words, axis.left - 12, y + 4, class_="side"),
        line(axis(1.0), y, x, y, class_="rule broken" if bad else "reach"),
        mark,
        text(number, WIDTH - RIGHT + 72, y + 4, class_="value"),
    )


def sharing_figure(sizes: Sizes) -> str:
    """A curve for each supply that circuits share; nothing where none is shared by two."""
    shared = [one for one in sizes.sharings.values() if one.shared and len(one.flows) > 1]
    if not shared:
        return ""
    most = max(len(one.flows) for one in shared)
    foot = TOP + TALL
    names = [*_names(shared, most)]
    return _sheet(
        "sharing",
        SHARED,
        foot + FOOT,
        *(_level(share) for share in (0.0, 0.25, 0.5, 0.75, 1.0)),
        *(_count(n, most, foot) for n in range(1, most + 1) if n == most or n % max(1, most // 12) == 0),
        *(_curve(one, most, look) for one, look in zip(shared, LOOKS * len(shared), strict=False)),
        *names,
    )


def _at(n: int, most: int, share: float) -> tuple[float, float]:
    left, right = 96.0, WIDTH - 260.0
    return left + (n - 1) / max(1, most - 1) * (right - left), TOP + TALL * (1.0 - share / HELD)


def _level(share: float) -> str:
    (left, y), (right, _) = _at(1, 2, share), _at(2, 2, share)
    return line(left, y, right, y, class_="grid") + text(
        f"{100 * share:.0f} %", left - 8, y + 4, class_="tick"
    )


def _count(n: int, most: int, foot: float) -> str:
    words = f"{n} circuit{'' if n == 1 else 's'}"
    return text(words, _at(n, most, 0.0)[0], foot + 15, class_="tick mid")


def _curve(one: Sharing, most: int, look: str) -> str:
    points = [_at(n, most, share) for n, share in enumerate(one.kept, 1)]
    dots = [tag("circle", cx=x, cy=y, r=3.0, style="fill: var(--ink)") for x, y in points]
    path = tag("path", d=polyline(points), class_="line", style="stroke: var(--ink)")
    return tag("g", path, *dots, class_=f"curve {look}")


def _names(shared: Sequence[Sharing], most: int) -> Iterator[str]:
    """At the right end of each curve its supply, pushed apart where they would touch."""
    ends = sorted(
        ((_at(len(one.flows), most, one.kept[-1])[1], one) for one in shared), key=lambda end: end[0]
    )
    below = 0.0
    for y, one in ends:
        below = max(y + 4, below + 15)
        words = f"{spoken(one.supply)}: {100 * one.kept[-1]:.0f} %"
        yield text(words, WIDTH - 246.0, below)


def _sheet(name: str, words: str, height: float, *body: str) -> str:
    return tag(
        "svg",
        title(words),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        id=name,
        class_="figure still",
        viewBox=f"0 0 {short(WIDTH)} {short(height)}",
        role="img",
    )
