"""What is marked on a chart: levels to keep to, ranges in which they hold, and numbered balloons at what was
worst.

Rule of this file: each mark carries its words; what was broken differs in shape and colour, never in colour
alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from attrs import frozen

from steadfall.report.figure.scale import Scale
from steadfall.report.figure.svg import line, short, tag, text, title

WORDS = 200.0  # px at the right that the words of rules may take
NOTE_STEP = 13.0  # px between the words of rules


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


def draw_zone(zone: Zone, x: Scale, y: Scale) -> str:
    """The range of values, tinted, with its words at the right, above a curve that falls."""
    top, foot = max(y.end, y(zone.high)), min(y.start, y(zone.low))
    bar = tag("path", class_="reach", d=f"M{short(x.start + 5)} {short(top)}h-5V{short(foot)}h5")
    area = tag("rect", class_="zone", x=x.start, y=top, width=x.end - x.start, height=max(0.0, foot - top))
    return area + bar + text(zone.label, x.end - 8, top + 13, class_="note end")


def placed(ms: int, x: Scale) -> dict[str, object]:
    """The attributes of a group that stands at a moment and is out of sight when the moment is."""
    hidden = "none" if not x.low <= ms <= x.high else None
    return {"data_t": ms, "transform": f"translate({short(x(ms))} 0)", "display": hidden}


def draw_rules(rules: Sequence[Rule], x: Scale, y: Scale) -> str:
    """The levels with their words: goals at the left, where a cool-down is far above them, all others at the
    right.
    """
    parts: list[str] = []
    taken: dict[bool, list[float]] = {True: [], False: []}
    for rule in sorted(rules, key=lambda rule: -rule.value):
        beyond = rule.value > y.high + 1e-6 * (y.high - y.low)
        level = y.end if beyond else y(rule.value)
        left = rule.kind == "goal"
        if not beyond:
            parts.append(_level(rule, level, x))
        place = _place(level, taken[left])
        taken[left].append(place)
        words = f"{rule.label}, above this scale ↑" if beyond else rule.label
        look = f"note {'' if left else 'end '}{'broken' if rule.broken else rule.kind}"
        parts.append(text(words, x.start + 8 if left else x.end - 8, place, class_=look))
    return "".join(parts)


def _place(level: float, taken: Sequence[float]) -> float:
    """Above the line, or below it where the words of another stand above, or under all of them."""
    for place in (level - 4, level + 12):
        if all(abs(place - other) >= NOTE_STEP - 1 for other in taken):
            return place
    return max(level, *taken) + NOTE_STEP


def _level(rule: Rule, level: float, x: Scale) -> str:
    look = "broken" if rule.broken else rule.kind
    end = x.end if rule.until_ms is None else min(x.end, max(x.start, x(rule.until_ms)))
    level_line = line(x.start, level, end, level, class_=f"rule {look}", data_until=rule.until_ms)
    if rule.until_ms is None:
        return level_line
    stop = tag("path", class_=f"stop {look}", d=f"M0 {short(level - 6)}V{short(level + 6)}")
    return level_line + tag("g", stop, **placed(rule.until_ms, x))


def draw_balloons(balloons: Sequence[Balloon], rules: Sequence[Rule], x: Scale, y: Scale) -> Iterable[str]:
    """The balloons, none upon another, and under the curve where the words of rules stand above it."""
    words_at_right = any(rule.kind != "goal" for rule in rules)
    shown: list[tuple[float, float]] = []
    for balloon in balloons:
        spot = y(min(max(balloon.value, y.low), y.high))
        hidden = words_at_right and x(balloon.time_ms) > x.end - WORDS and spot + 34 < y.start
        place = spot - 24 if spot - 34 > y.end and not hidden else spot + 24
        aside = 14.0 if x(balloon.time_ms) < x.end - 30 else -14.0
        while any(abs(x(balloon.time_ms) + aside - a) < 21 and abs(place - b) < 21 for a, b in shown):
            aside += 22.0 if aside > 0 else -22.0
        shown.append((x(balloon.time_ms) + aside, place))
        yield tag("g", _balloon(balloon, spot, place, aside), class_="balloon", **placed(balloon.time_ms, x))


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
