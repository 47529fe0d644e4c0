"""A prediction as data for a page whose charts answer: the figure, its records, its limits, the run before.

Rule of this file: what leaves it is JSON. The script is figure.js, `steadfallCharts.draw(element, data)`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from attrs import evolve

from steadfall.predict.outcome.result import Prediction
from steadfall.report.figure.figure import Figure, draw_figure
from steadfall.report.figure.panel import Panel
from steadfall.report.figure.series import Series, within
from steadfall.report.figure.sheets import whole_figure
from steadfall.report.page.packed import packed
from steadfall.report.words.items import goal_items, limit_items

HALF = 760.0  # px: how wide a figure is that stands beside another
MOVING = 40_000  # numbers of a figure that is drawn several times a second


def charts(
    prediction: Prediction, former: Prediction | None = None, *, aside: bool = False, moving: bool = False
) -> Mapping[str, Any]:
    """The charts of a prediction; another run is a ghost behind it, or stands `aside`, on the same scales.
    While something moves they have fewer records, and the script alone draws their curves.
    """
    most = MOVING if moving else None
    figure = evolve(whole_figure(prediction), bare=moving)
    if former is None:
        return _drawn(prediction, figure, most)
    other = evolve(whole_figure(former), bare=moving)
    both = _with_room_for(figure, other)
    if not aside:
        return {**_drawn(prediction, both, most), "ghost": packed([other], most)}
    halves = evolve(both, width=HALF), evolve(_with_room_for(other, figure), width=HALF, name="other")
    return {**_drawn(prediction, halves[0], most), "aside": _drawn(former, halves[1], most)}


def _drawn(prediction: Prediction, figure: Figure, most: int | None) -> Mapping[str, Any]:
    return {
        "caption": figure.caption,
        "svg": draw_figure(figure),
        "records": packed([figure], most),
        "ghost": None,
        "aside": None,
        "limits": list(_limits(prediction)),
    }


def finer(prediction: Prediction, start_ms: int, end_ms: int) -> Mapping[str, Any]:
    """The records of a stretch of time, as many as can be kept of that stretch alone."""
    figure = whole_figure(prediction)
    panels = tuple(
        evolve(panel, series=tuple(_cut(one, start_ms, end_ms) for one in panel.series))
        for panel in figure.panels
    )
    return packed([evolve(figure, panels=panels, rows=())])


def _cut(series: Series, start_ms: int, end_ms: int) -> Series:
    """The records of a stretch, with a neighbour on each side."""
    part = within(series, start_ms, end_ms)
    low, high = (None if edge is None else edge[part] for edge in (series.low, series.high))
    return evolve(series, times_ms=series.times_ms[part], mid=series.mid[part], low=low, high=high)


def _with_room_for(figure: Figure, ghost: Figure) -> Figure:
    """A figure whose scales reach as far as another's curves."""
    others = {one.name: one for panel in ghost.panels for one in panel.series}
    end = max(figure.end_ms, ghost.end_ms)
    panels = tuple(_reaching(panel, others, end) for panel in figure.panels)
    return evolve(figure, panels=panels, end_ms=end)


def _reaching(panel: Panel, others: Mapping[str, Series], end_ms: int) -> Panel:
    alike = [others[one.name].extent(0, end_ms) for one in panel.series if one.name in others]
    if not alike:
        return panel
    floor = min([low for low, _ in alike] + ([] if panel.floor is None else [panel.floor]))
    roof = max([high for _, high in alike] + ([] if panel.roof is None else [panel.roof]))
    return evolve(panel, floor=floor, roof=roof)


def _limits(prediction: Prediction) -> Iterator[Mapping[str, Any]]:
    """Limits and goals with the moment that a click goes to."""
    for item in (*limit_items(prediction), *goal_items(prediction)):
        yield {
            "number": item.number,
            "of": item.of,
            "words": item.words,
            "kept": item.kept,
            "time_ms": item.time_ms,
            "line": item.line,
        }
