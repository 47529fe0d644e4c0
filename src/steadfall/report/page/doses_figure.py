"""The trade-off of doses as a figure: when the last goal is reached against water, with openings as size.

Rule of this file: shape as well as ink tells the plan's own doses and those that were found from the rest;
the figure is complete on paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import evolve

from steadfall.dose.found import Doses
from steadfall.dose.work import Outcome
from steadfall.quantities import IN_ALL, Reading, clock
from steadfall.report.figure.figure import WIDTH
from steadfall.report.figure.scale import Scale, decimals, domain, ticks, time_ticks
from steadfall.report.figure.svg import fixed, line, short, tag, text, title

TRADE = "What no other doses beat: last goal, water, and openings as the size of the ring"
ACROSS = "last goal reached at, on the coarse grid"
LEFT, RIGHT, TOP, TALL, FOOT = 90.0, 30.0, 34.0, 300.0, 44.0
SMALL, LARGE = 3.0, 12.0  # px, radius for the fewest and the most openings
FULL = "fill: var(--ink); stroke: var(--paper); stroke-width: 1.5"
OPEN = "fill: none; stroke: var(--soft); stroke-width: 1"  # there are many, one beside the other
LEADER = 34.0  # px from a mark to its name: clear of the rings round it


def trade_figure(found: Doses) -> str:
    """A ring for each row of the trade-off, a square for the plan's own, a filled ring for the found."""
    water = found.units.of(IN_ALL)
    own = _read(found.given.outcome, water) if found.given else None
    best = _read(found.found.outcome, water) if found.found else None
    trade = [_read(one, water) for one in found.trade.values()]
    every = [one for one in (*trade, own, best) if one and math.isfinite(one.time)]
    if len(every) < 2:
        return ""
    x, y = _scales(every)
    rings = [_ring(one, x, y, every, water.symbol, row=row) for row, one in enumerate(trade)]
    return tag(
        "svg",
        title(TRADE),
        *_axes(x, y, water.symbol),
        *rings,
        _square(own, x, y) if own and math.isfinite(own.time) else "",
        _named(best, "found", x, y) + _ring(best, x, y, every, water.symbol) if best else "",
        xmlns="http://www.w3.org/2000/svg",
        id="trade",
        class_="figure still",
        viewBox=f"0 0 {short(WIDTH)} {short(TOP + TALL + FOOT)}",
        role="img",
    )


def _read(one: Outcome, water: Reading) -> Outcome:
    """An outcome with its water as it is read."""
    return evolve(one, water=water.of(one.water))


def _scales(every: Sequence[Outcome]) -> tuple[Scale, Scale]:
    times, waters = [1000 * one.time for one in every], [one.water for one in every]
    foot = TOP + TALL
    x = Scale(*domain(min(times), max(times)), LEFT, WIDTH - RIGHT)
    return x, Scale(*domain(min(waters), max(waters)), foot, TOP)


def _axes(x: Scale, y: Scale, symbol: str) -> list[str]:
    foot = TOP + TALL
    values = ticks(y.low, y.high)
    places = decimals(values)
    parts = [text(f"water, {symbol}", LEFT, TOP - 14, class_="title"), line(LEFT, foot, WIDTH - RIGHT, foot)]
    for value in values:
        parts.append(line(LEFT, y(value), WIDTH - RIGHT, y(value), class_="grid"))
        parts.append(text(fixed(value, places), LEFT - 8, y(value) + 4, class_="tick"))
    for ms in time_ticks(x.low, x.high, 9):
        parts.append(line(x(ms), TOP, x(ms), foot, class_="grid"))
        parts.append(text(clock(ms), x(ms), foot + 16, class_="tick mid"))
    parts.append(
        text("last goal reached at, on the coarse grid", WIDTH - RIGHT, foot + 34, class_="note end")
    )
    return parts


def _ring(
    one: Outcome, x: Scale, y: Scale, every: Sequence[Outcome], symbol: str, *, row: int | None = None
) -> str:
    """A ring of a row of the trade-off, which a page may let choose; without a row it is full."""
    counts = [each.openings for each in every]
    share = (one.openings - min(counts)) / max(1, max(counts) - min(counts))
    ink = FULL if row is None else OPEN
    ring = tag(
        "circle",
        title(f"{clock(1000 * one.time)}, {one.water:.0f} {symbol} water, {one.openings} openings"),
        cx=x(1000 * one.time),
        cy=y(one.water),
        r=SMALL + share * (LARGE - SMALL),
        style=ink,
    )
    return tag("g", ring) if row is None else tag("g", ring, data_row=row)


def _square(one: Outcome, x: Scale, y: Scale) -> str:
    across, up = x(1000 * one.time), y(one.water)
    mark = tag("rect", x=across - 5, y=up - 5, width=10.0, height=10.0, style="fill: var(--soft)")
    return _named(one, "the plan", x, y) + mark


def _named(one: Outcome, words: str, x: Scale, y: Scale) -> str:
    """The name of a mark at the end of a leader, up or down, and on the side where there is room."""
    across, up = x(1000 * one.time), y(one.water)
    far = up + LEADER if up - LEADER < TOP + 12 else up - LEADER
    right = across < WIDTH / 2
    name = text(words, across + (5 if right else -5), far + 4, class_="note" if right else "note end")
    return line(across, up, across, far, style="stroke: var(--ink)") + name
