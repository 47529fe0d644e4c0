"""One chart of the stack: curves over time against one scale, with the lines that they must keep to.

Rule of this file: curves are named at their end on the sheet, not in a legend; each line that bounds them
carries its words; what was worst is a numbered balloon, as on a drawing, with the number of its row in the
tables.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from attrs import frozen

from steadfall.report.figure.marks import Balloon, Rule, Zone, draw_balloons, draw_rules, draw_zone, placed
from steadfall.report.figure.scale import Scale, decimals, domain, ticks
from steadfall.report.figure.series import Series, band_path, line_path
from steadfall.report.figure.svg import fixed, short, tag, text

HEAD = 21.0  # px above a chart for its title
LABEL_LINE = 12.0  # px from line to line of a name
LABEL_STEP = 15.0  # px between the names at the end of the curves
RIM = 214.0  # px from the end of the charts to the right edge of what is written beside them


@frozen
class Panel:
    """One chart: what it shows and how tall it is."""

    title: str
    series: tuple[Series, ...]
    height: float
    rules: tuple[Rule, ...] = ()
    zones: tuple[Zone, ...] = ()
    balloons: tuple[Balloon, ...] = ()
    moments: tuple[int, ...] = ()  # ms at which the stage changes
    floor: float | None = None  # a value that the scale always reaches down to
    roof: float | None = None  # the least upper end of the scale, so that charts of one kind share it

    def scale(self, top: float, x: Scale) -> Scale:
        """The scale of values, greatest at the top: room for the curves and for every rule that is near
        them.
        """
        extents = [series.extent(x.low, x.high) for series in self.series]
        low = min([e[0] for e in extents] + ([] if self.floor is None else [self.floor]))
        high = max([e[1] for e in extents] + ([] if self.roof is None else [self.roof]))
        must = [rule.value for rule in self.rules if rule.kind in {"limit", "goal"}]
        low, high = min(low, *must, high), max(high, *must, low)
        may = [rule.value for rule in self.rules if rule.value <= high + REACH * (high - low)]
        low, high = min(low, *may, high), max(high, *may, low)
        low, high = domain(low, high, self.most_ticks)
        return Scale(low, high, top + self.height, top)

    @property
    def most_ticks(self) -> int:
        """As many tick labels as the height holds."""
        return max(3, int(self.height / 24))


# a rating or supply further above the curves than this share of their range is named, not drawn to scale
REACH = 0.6


def draw(panel: Panel, top: float, x: Scale, *, bare: bool = False) -> str:
    """The chart as markup; `top` is where its title begins; bare: the curves are left out."""
    y = panel.scale(top + HEAD, x)
    parts = [
        text(panel.title, x.start, top + HEAD - 7, class_="title"),
        _axis(panel, x, y),
        *(draw_zone(zone, x, y) for zone in panel.zones),
        tag("g", *(_moment(ms, x, y) for ms in panel.moments), class_="moments") if panel.moments else "",
        draw_rules(panel.rules, x, y),
        _clipped("".join(_curve(series, x, y, bare=bare) for series in panel.series), x, y),
        *draw_balloons(panel.balloons, panel.rules, x, y),
        *_labels(panel.series, x, y),
    ]
    return tag("g", *parts, class_="panel")


def rim(x: Scale) -> float:
    """The right edge of what is written beside the charts."""
    return x.end + RIM


def _axis(panel: Panel, x: Scale, y: Scale) -> str:
    values = ticks(y.low, y.high, panel.most_ticks)
    places = decimals(values)
    lines = "".join(f"M{short(x.start)} {short(y(v))}H{short(x.end)}" for v in values)
    frame = f"M{short(x.start)} {short(y.end)}V{short(y.start)}H{short(x.end)}V{short(y.end)}"
    names = [text(fixed(v, places), x.start - 7, y(v) + 4, class_="tick") for v in values]
    return tag("path", class_="grid", d=lines) + tag("path", class_="frame", d=frame) + "".join(names)


def _moment(ms: int, x: Scale, y: Scale) -> str:
    here = tag("path", d=f"M0 {short(y.end)}V{short(y.start)}")
    return tag("g", here, **placed(ms, x))


def _curve(series: Series, x: Scale, y: Scale, *, bare: bool) -> str:
    banded = series.low is not None or series.high is not None
    parts = [tag("path", class_="band", d="" if bare else band_path(series, x, y))] if banded else []
    parts.append(tag("path", class_="line", d="" if bare else line_path(series, x, y)))
    frame = f"{short(y.start)} {short(y.end)} {y.low:g} {y.high:g}"
    return tag("g", *parts, class_=f"curve look-{series.look}", data_series=series.name, data_y=frame)


def _clipped(curves: str, x: Scale, y: Scale) -> str:
    """A sheet within the sheet: what a curve does outside the chart is not seen."""
    left, top, width, height = (
        short(x.start),
        short(y.end - 1),
        short(x.end - x.start),
        short(y.start - y.end + 2),
    )
    return tag(
        "svg", curves, x=left, y=top, width=width, height=height, viewBox=f"{left} {top} {width} {height}"
    )


def _labels(series: Sequence[Series], x: Scale, y: Scale) -> Iterable[str]:
    """The names beside the chart, each near the end of its curve, with its value there; a curve may have no
    name.
    """
    series = [one for one in series if one.label]
    if not series:
        return
    wanted = [y(one.at(x.high)) + 4 for one in series]
    steps = [LABEL_STEP + LABEL_LINE * one.label.count("\n") for one in series]
    for one, place in zip(series, spread(wanted, y.end + 6, y.start + 2, steps), strict=True):
        sample = tag("path", class_="line", d=f"M{short(x.end + 6)} {short(place - 4)}h18")
        value = one.words(x.high)
        yield tag(
            "g",
            tag("g", sample, class_=f"curve look-{one.look}"),
            *(
                text(line, x.end + 29, place + LABEL_LINE * number, class_="name")
                for number, line in enumerate(one.label.split("\n"))
            ),
            text(value, rim(x), place, class_="value", data_value=one.name),
        )


def spread(wanted: Sequence[float], top: float, foot: float, steps: Sequence[float]) -> list[float]:
    """Places as near as can be to those wanted, each with its step to the next below, between top and foot
    where there is room.
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    places = [0.0] * len(wanted)
    edge = top
    for index in order:
        places[index] = max(wanted[index], edge)
        edge = places[index] + steps[index]
    edge = foot + LABEL_STEP
    for index in reversed(order):
        edge = places[index] = min(places[index], edge - steps[index])
    return places
