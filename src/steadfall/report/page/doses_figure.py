"""The trade-off of doses as a figure: when the last goal is reached against water, with openings as size.

Rule of this file: shape as well as ink tells the plan's own doses and those that were found from the rest;
the figure is complete on paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import evolve, frozen

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


@frozen
class _Sheet:
    """Where a moment and a mass of water lie, its unit, and the fewest and the most openings."""

    x: Scale
    y: Scale
    symbol: str
    fewest: int
    most: int


def trade_figure(found: Doses, *, opens: bool = False) -> str:
    """A ring for each row of the trade-off, a square for the plan's own, a filled ring for the found; on a
    page a ring `opens` its cool-down.
    """
    water = found.units.of(IN_ALL)
    own = _read(found.given.outcome, water) if found.given else None
    best = _read(found.found.outcome, water) if found.found else None
    trade = [_read(one, water) for one in found.trade.values()]
    every = [one for one in (*trade, own, best) if one and math.isfinite(one.time)]
    if len(every) < 2:
        return ""
    sheet = _sheet(every, water.symbol)
    rings = [
        tag("g", _ring(one, sheet, OPEN), **(_opens(row, one, sheet) if opens else {}))
        for row, one in enumerate(trade)
    ]
    return tag(
        "svg",
        title(TRADE),
        *_axes(sheet),
        *rings,
        _square(own, sheet) if own and math.isfinite(own.time) else "",
        _named(best, "found", sheet) + _ring(best, sheet, FULL) if best else "",
        xmlns="http://www.w3.org/2000/svg",
        id="trade",
        class_="figure still",
        viewBox=f"0 0 {short(WIDTH)} {short(TOP + TALL + FOOT)}",
        role="group" if opens else "img",
    )


def _read(one: Outcome, water: Reading) -> Outcome:
    """An outcome with its water as it is read."""
    return evolve(one, water=water.of(one.water))


def _sheet(every: Sequence[Outcome], symbol: str) -> _Sheet:
    times, waters = [1000 * one.time for one in every], [one.water for one in every]
    x = Scale(*domain(min(times), max(times)), LEFT, WIDTH - RIGHT)
    y = Scale(*domain(min(waters), max(waters)), TOP + TALL, TOP)
    counts = [one.openings for one in every]
    return _Sheet(x, y, symbol, min(counts), max(counts))


def _axes(sheet: _Sheet) -> list[str]:
    x, y, foot = sheet.x, sheet.y, TOP + TALL
    values = ticks(y.low, y.high)
    places = decimals(values)
    parts = [
        text(f"water, {sheet.symbol}", LEFT, TOP - 14, class_="title"),
        line(LEFT, foot, WIDTH - RIGHT, foot),
    ]
    for value in values:
        parts.append(line(LEFT, y(value), WIDTH - RIGHT, y(value), class_="grid"))
        parts.append(text(fixed(value, places), LEFT - 8, y(value) + 4, class_="tick"))
    for ms in time_ticks(x.low, x.high, 9):
        parts.append(line(x(ms), TOP, x(ms), foot, class_="grid"))
        parts.append(text(clock(ms), x(ms), foot + 16, class_="tick mid"))
    parts.append(text(ACROSS, WIDTH - RIGHT, foot + 34, class_="note end"))
    return parts


def _ring(one: Outcome, sheet: _Sheet, ink: str) -> str:
    share = (one.openings - sheet.fewest) / max(1, sheet.most - sheet.fewest)
    return tag(
        "circle",
        title(_said(one, sheet)),
        cx=sheet.x(1000 * one.time),
        cy=sheet.y(one.water),
        r=SMALL + share * (LARGE - SMALL),
        style=ink,
    )


def _said(one: Outcome, sheet: _Sheet) -> str:
    return f"{clock(1000 * one.time)}, {one.water:.0f} {sheet.symbol} water, {one.openings} openings"


def _opens(row: int, one: Outcome, sheet: _Sheet) -> dict[str, object]:
    """What makes a ring a button; of all of them the first is in the order of the tab key."""
    reached = 0 if row == 0 else -1
    return {"data_row": row, "role": "button", "tabindex": reached, "aria_label": _said(one, sheet)}


def _square(one: Outcome, sheet: _Sheet) -> str:
    across, up = sheet.x(1000 * one.time), sheet.y(one.water)
    mark = tag("rect", x=across - 5, y=up - 5, width=10.0, height=10.0, style="fill: var(--soft)")
    return _named(one, "the plan", sheet) + mark


def _named(one: Outcome, words: str, sheet: _Sheet) -> str:
    """The name of a mark at the end of a leader, up or down, and on the side where there is room."""
    across, up = sheet.x(1000 * one.time), sheet.y(one.water)
    far = up + LEADER if up - LEADER < TOP + 12 else up - LEADER
    right = across < WIDTH / 2
    name = text(words, across + (5 if right else -5), far + 4, class_="note" if right else "note end")
    return line(across, up, across, far, style="stroke: var(--ink)") + name
