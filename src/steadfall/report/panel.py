"""One chart of the stack: curves over time against one scale, with the lines that they must keep to.

Rule of this file: curves are named at their end on the sheet, not in a legend; each line that bounds them carries
its words; what was worst is a numbered balloon, as on a drawing, with the number of its row in the tables.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from attrs import frozen

from steadfall.report.scale import Scale, decimals, domain, ticks
from steadfall.report.series import Series, band_path, line_path
from steadfall.report.svg import line, short, tag, text, title

HEAD = 21.0  # px above a chart for its title
LABEL_STEP = 15.0  # px between the names at the end of the curves
NOTE_STEP = 13.0  # px between the words of rules
RIM = 1152.0  # px: right edge of what is written beside the charts


@frozen
class Rule:
    """A level that a curve is measured against. `kind`: limit, goal, rating or supply."""

    value: float
    label: str
    kind: str
    until_ms: int | None = None
    broken: bool = False


@frozen
class Zone:
    """A range of values in which a limit applies."""

    low: float
    high: float
    label: str


@frozen
class Balloon:
    """A numbered mark on a curve: the worst moment of a limit, or the moment a goal was reached."""

    number: int
    time_ms: int
    value: float
    broken: bool
    words: str


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
        """The scale of values, greatest at the top: room for the curves and for every rule that is near them."""
        extents = [series.extent(x.low, x.high) for series in self.series]
        low = min([e[0] for e in extents] + ([] if self.floor is None else [self.floor]))
        high = max([e[1] for e in extents] + ([] if self.roof is None else [self.roof]))
        for rule in self.rules:
            if rule.kind in {"limit", "goal"} or rule.value <= high + REACH * (high - low):
                low, high = min(low, rule.value), max(high, rule.value)
        low, high = domain(low, high, self.most_ticks)
        return Scale(low, high, top + self.height, top)

    @property
    def most_ticks(self) -> int:
        """As many tick labels as the height holds."""
        return max(3, int(self.height / 24))


REACH = 0.6  # a rating or supply further above the curves than this share of their range is named, not drawn to scale


def draw(panel: Panel, top: float, x: Scale) -> str:
    """The chart as markup; `top` is where its title begins."""
    y = panel.scale(top + HEAD, x)
    parts = [
        text(panel.title, x.start, top + HEAD - 7, class_="title"),
        _axis(panel, x, y),
        *(_zone(zone, x, y) for zone in panel.zones),
        tag("g", *(_moment(ms, x, y) for ms in panel.moments), class_="moments") if panel.moments else "",
        _rules(panel.rules, x, y),
        _clipped("".join(_curve(series, x, y) for series in panel.series), x, y),
        *_balloons(panel.balloons, x, y),
        *_labels(panel.series, x, y),
    ]
    return tag("g", *parts, class_="panel")


def _axis(panel: Panel, x: Scale, y: Scale) -> str:
    values = ticks(y.low, y.high, panel.most_ticks)
    places = decimals(values)
    lines = "".join(f"M{short(x.start)} {short(y(v))}H{short(x.end)}" for v in values)
    frame = f"M{short(x.start)} {short(y.end)}V{short(y.start)}H{short(x.end)}V{short(y.end)}"
    names = [text(f"{v:.{places}f}", x.start - 7, y(v) + 4, class_="tick") for v in values]
    return tag("path", class_="grid", d=lines) + tag("path", class_="frame", d=frame) + "".join(names)


def _zone(zone: Zone, x: Scale, y: Scale) -> str:
    top, foot = max(y.end, y(zone.high)), min(y.start, y(zone.low))
    bar = tag("path", class_="reach", d=f"M{short(x.start + 5)} {short(top)}h-5V{short(foot)}h5")
    area = tag("rect", class_="zone", x=x.start, y=top, width=x.end - x.start, height=max(0.0, foot - top))
    return area + bar + text(zone.label, x.start + 8, foot - 5, class_="note")


def _moment(ms: int, x: Scale, y: Scale) -> str:
    here = tag("path", d=f"M0 {short(y.end)}V{short(y.start)}")
    return tag("g", here, **_placed(ms, x))


def _placed(ms: int, x: Scale) -> dict[str, object]:
    """The attributes of a group that stands at a moment and is out of sight when the moment is."""
    hidden = "none" if not x.low <= ms <= x.high else None
    return {"data_t": ms, "transform": f"translate({short(x(ms))} 0)", "display": hidden}


def _rules(rules: Sequence[Rule], x: Scale, y: Scale) -> str:
    """The levels, each with its words at the right: above the line, or below it where another stands above."""
    parts: list[str] = []
    taken: list[float] = []
    for rule in sorted(rules, key=lambda rule: -rule.value):
        beyond = rule.value > y.high + 1e-6 * (y.high - y.low)
        level = y.end if beyond else y(rule.value)
        if not beyond:
            parts.append(_level(rule, level, x))
        free = [place for place in (level - 4, level + 12) if _free(place, taken)]
        place = free[0] if free else max(level, *taken) + NOTE_STEP
        taken.append(place)
        words = f"{rule.label}, above this scale ↑" if beyond else rule.label
        parts.append(text(words, x.end - 8, place, class_=f"note end {'broken' if rule.broken else rule.kind}"))
    return "".join(parts)


def _free(place: float, taken: Sequence[float]) -> bool:
    return all(abs(place - other) >= NOTE_STEP - 1 for other in taken)


def _level(rule: Rule, level: float, x: Scale) -> str:
    look = "broken" if rule.broken else rule.kind
    end = x.end if rule.until_ms is None else min(x.end, max(x.start, x(rule.until_ms)))
    level_line = line(x.start, level, end, level, class_=f"rule {look}", data_until=rule.until_ms)
    if rule.until_ms is None:
        return level_line
    stop = tag("path", class_=f"stop {look}", d=f"M0 {short(level - 6)}V{short(level + 6)}")
    return level_line + tag("g", stop, **_placed(rule.until_ms, x))


def _curve(series: Series, x: Scale, y: Scale) -> str:
    band = band_path(series, x, y)
    parts = [tag("path", class_="band", d=band)] if band else []
    parts.append(tag("path", class_="line", d=line_path(series, x, y)))
    frame = f"{short(y.start)} {short(y.end)} {y.low:g} {y.high:g}"
    return tag("g", *parts, class_=f"curve look-{series.look}", data_series=series.name, data_y=frame)


def _clipped(curves: str, x: Scale, y: Scale) -> str:
    """A sheet within the sheet: what a curve does outside the chart is not seen."""
    left, top, width, height = short(x.start), short(y.end - 1), short(x.end - x.start), short(y.start - y.end + 2)
    return tag("svg", curves, x=left, y=top, width=width, height=height, viewBox=f"{left} {top} {width} {height}")


def _labels(series: Sequence[Series], x: Scale, y: Scale) -> Iterable[str]:
    """The names beside the chart, each near the end of its curve, with its value there."""
    if not series:
        return
    wanted = [y(one.at(x.high)) + 4 for one in series]
    for one, place in zip(series, spread(wanted, y.end + 6, y.start + 2), strict=True):
        sample = tag("path", class_="line", d=f"M{short(x.end + 6)} {short(place - 4)}h18")
        value = f"{one.at(x.high):.{one.digits}f}"
        yield tag(
            "g",
            tag("g", sample, class_=f"curve look-{one.look}"),
            text(one.label, x.end + 29, place, class_="name"),
            text(value, RIM, place, class_="value", data_value=one.name, data_digits=one.digits),
        )


def spread(wanted: Sequence[float], top: float, foot: float) -> list[float]:
    """Places as near as can be to those wanted, a label's height apart, between top and foot where there is room."""
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    places = [0.0] * len(wanted)
    edge = top - LABEL_STEP
    for index in order:
        edge = places[index] = max(wanted[index], edge + LABEL_STEP)
    edge = foot + LABEL_STEP
    for index in reversed(order):
        edge = places[index] = min(places[index], edge - LABEL_STEP)
    return places


def _balloons(balloons: Sequence[Balloon], x: Scale, y: Scale) -> Iterable[str]:
    shown: list[tuple[float, float]] = []
    for balloon in balloons:
        spot = y(min(max(balloon.value, y.low), y.high))
        place = spot - 24 if spot - 34 > y.end else spot + 24
        aside = 14.0 if x(balloon.time_ms) < x.end - 30 else -14.0
        while any(abs(x(balloon.time_ms) + aside - a) < 21 and abs(place - b) < 21 for a, b in shown):
            aside += 22.0 if aside > 0 else -22.0
        shown.append((x(balloon.time_ms) + aside, place))
        yield tag("g", _balloon(balloon, spot, place, aside), class_="balloon", **_placed(balloon.time_ms, x))


def _balloon(balloon: Balloon, spot: float, place: float, aside: float) -> str:
    look = "bad" if balloon.broken else "good"
    if balloon.broken:
        shape = tag("rect", x=aside - 9, y=place - 9, width=18, height=18)
    else:
        shape = tag("circle", cx=aside, cy=place, r=9)
    leader = line(0, spot, aside, place, class_="leader")
    dot = tag("circle", class_="dot", cx=0, cy=spot, r=2.5)
    number = text(str(balloon.number), aside, place + 4)
    return tag("g", title(f"{balloon.number}: {balloon.words}"), leader, dot, shape, number, class_=look)
