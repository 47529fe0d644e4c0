"""What is marked on a chart: levels to keep to, ranges in which they hold, and numbered balloons at what was
worst.

Rule of this file: each mark carries its words; what was broken differs in shape and colour, never in colour
alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from attrs import frozen

from steadfall.report.figure.scale import Scale
from steadfall.report.figure.svg import line, short, tag, text, title

NOTE_STEP = 13.0  # px between the words of rules
LETTER, LETTERS_HIGH = 6.0, 9.0  # px, of the words of rules: what most letters keep within
RADIUS = 10.0  # px, of a balloon with its ring
_ASIDES = tuple(side * step for step in range(14, 300, 22) for side in (1.0, -1.0))  # px, the nearest first


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


@frozen
class Words:
    """The words of a rule: where they end or begin, and on which line."""

    text: str
    at: float  # px
    line: float
    left: bool  # they begin there
    look: str

    def meet(self, a: float, b: float) -> bool:
        """Whether a balloon in the middle of which this point lies would cover some of them."""
        wide = LETTER * len(self.text)
        low, high = (self.at, self.at + wide) if self.left else (self.at - wide, self.at)
        return low - RADIUS < a < high + RADIUS and self.line - LETTERS_HIGH - RADIUS < b < self.line + RADIUS


def draw_rules(rules: Sequence[Rule], x: Scale, y: Scale) -> str:
    """The levels with their words."""
    levels = (_level(rule, y(rule.value), x) for rule in rules if not _beyond(rule, y))
    return "".join(levels) + "".join(
        text(one.text, one.at, one.line, class_=one.look) for one in words_of(rules, x, y)
    )


def words_of(rules: Sequence[Rule], x: Scale, y: Scale) -> list[Words]:
    """The words of levels, none upon another, the higher level above: goals at the left, where a cool-down is
    far above them, all others at the right.
    """
    found: list[Words] = []
    for rule in sorted(rules, key=lambda rule: -rule.value):
        beyond, left = _beyond(rule, y), rule.kind == "goal"
        place = _place(y.end if beyond else y(rule.value), [one.line for one in found if one.left == left])
        said = f"{rule.label}, above this scale ↑" if beyond else rule.label
        look = f"note {'' if left else 'end '}{'broken' if rule.broken else rule.kind}"
        found.append(Words(said, x.start + 8 if left else x.end - 8, place, left, look))
    return found


def _beyond(rule: Rule, y: Scale) -> bool:
    return rule.value > y.high + 1e-6 * (y.high - y.low)


def _place(level: float, taken: Sequence[float]) -> float:
    """Above the line, or below it, in any case under the words of all higher ones."""
    least = max(taken, default=-math.inf) + NOTE_STEP - 1
    return next((place for place in (level - 4, level + 12) if place >= least), least + 1)


def _level(rule: Rule, level: float, x: Scale) -> str:
    look = "broken" if rule.broken else rule.kind
    end = x.end if rule.until_ms is None else min(x.end, max(x.start, x(rule.until_ms)))
    level_line = line(x.start, level, end, level, class_=f"rule {look}", data_until=rule.until_ms)
    if rule.until_ms is None:
        return level_line
    stop = tag("path", class_=f"stop {look}", d=f"M0 {short(level - 6)}V{short(level + 6)}")
    return level_line + tag("g", stop, **placed(rule.until_ms, x))


def draw_balloons(balloons: Sequence[Balloon], rules: Sequence[Rule], x: Scale, y: Scale) -> Iterable[str]:
    """The balloons, none upon another or upon the words of a rule: above the curve, else below it, a little
    nearer where that is all the room there is.
    """
    words, shown = words_of(rules, x, y), list[tuple[float, float]]()
    for balloon in balloons:
        spot, at = y(min(max(balloon.value, y.low), y.high)), x(balloon.time_ms)
        tried = (spot - 24, spot + 24, spot + 18)
        places = [place for place in tried if y.end < place - RADIUS < y.start - 2 * RADIUS]
        wanted = [(aside, place) for aside in _ASIDES for place in places or [spot + 24]]
        free = (
            (aside, place)
            for aside, place in wanted
            if x.start < at + aside - RADIUS < x.end - 2 * RADIUS
            and not any(abs(at + aside - a) < 21 and abs(place - b) < 21 for a, b in shown)
            and not any(one.meet(at + aside, place) for one in words)
        )
        aside, place = next(free, wanted[0])
        shown.append((at + aside, place))
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
