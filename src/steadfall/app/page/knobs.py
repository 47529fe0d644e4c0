"""The numbers of a plan that a technician turns: where each stands in the text, and the text with another.

Rule of this file: a number is changed at its place and nothing else is, so comments and layout stay; whether
the plan is still sound, the reader says.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate
from typing import Any

from attrs import asdict, evolve, frozen

from steadfall.dimensions import DIMENSIONS
from steadfall.plan.problems import Problems
from steadfall.plan.text.tree import Items, Node, Scalar, Table, read_tree
from steadfall.plan.text.where import ITEM
from steadfall.report.words.names import spoken
from steadfall.source import PlanError

ANY = "*"
Places = Sequence[tuple[str, tuple[str, ...]]]
# What is turned: the keys that lead to it, and under which heading it stands.
PLACES: Places = (
    ("Doses", ("circuit_types", ANY, "stages", ITEM, ANY, "open")),
    ("Doses", ("circuit_types", ANY, "stages", ITEM, ANY, "shut")),
    ("Climbs", ("circuit_types", ANY, "stages", ITEM, "climb")),
    ("Finish", ("circuit_types", ANY, "finish", ITEM, "for")),
    ("Settings", ("settings", ANY, "default")),
    ("Supplies", ("supplies", ANY, "pressure")),
    ("Supplies", ("supplies", ANY, "temperature")),
    ("Start", ("bodies", ANY, "start")),
    ("Start", ("gas_streams", ANY, "start")),
)
# What a cool-down is held to.
BOUNDS: Places = tuple(
    ("Bounds", ("limits", ITEM, key))
    for key in ("at most", "at least", "fall_rate", "rise_rate", "goal", "within")
)
# What else is set by hand: times that the controller counts, and where it trips.
PRESETS: Places = (
    ("Valves", ("circuit_types", ANY, "valves", ANY, "shortest_open")),
    ("Valves", ("circuit_types", ANY, "valves", ANY, "shortest_shut")),
    ("Valves", ("circuits", ANY, "delay_doses")),
    ("Steps", ("circuit_types", ANY, "step_down")),
    ("Trips", ("trips", ITEM, "when")),
    ("Trips", ("permissives", ITEM, "for")),
)
FORMS: Places = (*PLACES, *PRESETS, *BOUNDS)


@frozen
class Reach:
    """How far a number can be turned: times so much and so much more, each way."""

    least: float
    most: float
    more: float = 0.0


REACHES: Mapping[str, Reach] = {
    "time": Reach(0.25, 3.0),
    "temperature": Reach(1.0, 1.0, 40.0),
    "pressure": Reach(0.4, 1.6),
    "temperature_difference": Reach(0.25, 3.0),
    "fall_rate": Reach(0.25, 3.0),
    "stress": Reach(0.25, 3.0),
}
_OF: Mapping[str, str] = {unit: name for name in REACHES for unit in DIMENSIONS[name].spellings}
_UNITS = "|".join(re.escape(unit) for unit in sorted(_OF, key=len, reverse=True))
_NUMBER = re.compile(rf"(?<![\w.])(?P<number>\d+(?:\.\d+)?) (?P<unit>{_UNITS})(?![\w/.])")


@frozen
class Knob:
    """A number as it is written: its heading and words, its line, where in the text it stands, how far it can
    be turned.
    """

    group: str
    words: str
    unit: str
    number: str
    line: int
    start: int
    end: int
    least: float
    most: float
    step: float

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return asdict(self)


def knobs(text: str, places: Places = PLACES) -> tuple[Knob, ...]:
    """The numbers of a text at some places, heading by heading, each in the order of the text; none of a text
    that is no tree.
    """
    try:
        tree = read_tree(text, "", Problems())
    except PlanError:
        return ()
    starts = _starts(text)
    rows = ((path, list(_at(tree, path, (), (group, starts)))) for group, path in places)
    found = [knob for path, own in rows for knob in (_shorter(own) if path[1] == ANY else own)]
    found = [evolve(knob, words=spoken(knob.words)) for knob in found]
    groups = list(dict.fromkeys(group for group, _ in places))
    return tuple(sorted(found, key=lambda knob: (groups.index(knob.group), knob.start)))


def _shorter(rows: list[Knob]) -> list[Knob]:
    """Without a first word that all of them have: the only circuit type need not be named."""
    first = {knob.words.partition(" ")[0] for knob in rows}
    if len(rows) < 2 or len(first) != 1:
        return rows
    return [evolve(knob, words=knob.words.partition(" ")[2]) for knob in rows]


def _starts(text: str) -> list[int]:
    """Where each line begins."""
    return [0, *accumulate(len(line) + 1 for line in text.split("\n"))]


def turned(text: str, numbers: Mapping[Knob, str]) -> str:
    """The text with other numbers at the places of some."""
    for knob in sorted(numbers, key=lambda knob: -knob.start):
        text = text[: knob.start] + numbers[knob] + text[knob.end :]
    return text


Of = tuple[str, Sequence[int]]  # the heading, where the lines of the text begin


def _at(node: Node, path: tuple[str, ...], said: tuple[str, ...], of: Of) -> Iterator[Knob]:
    """The numbers behind a path; `said` is what leads there, as a person says it."""
    if not path:
        if isinstance(node, Scalar) and node.inline:
            yield from _in(node, said, of)
    elif isinstance(node, Items) and path[0] == ITEM:
        for item in node.nodes:
            yield from _at(item, path[1:], (*said, *_name(item)), of)
    elif isinstance(node, Table):
        for entry in node.entries:
            key = entry.key.text
            if path[0] in (ANY, key):
                own = (key,) if path[0] == ANY or len(path) == 1 else ()
                yield from _at(entry.value, path[1:], (*said, *own), of)


def _name(item: Node) -> tuple[str, ...]:
    """What an entry of a list is called."""
    entries = item.entries if isinstance(item, Table) else ()
    named = [entry.value for entry in entries if entry.key.text in ("name", "of")]
    return tuple(one.text for one in named if isinstance(one, Scalar))


def _in(scalar: Scalar, said: tuple[str, ...], of: Of) -> Iterator[Knob]:
    """The numbers in a text: its only one, or each of a condition with what it is compared with."""
    group, starts = of
    begin = starts[scalar.mark.line - 1] + scalar.mark.column - 1
    for found in _NUMBER.finditer(scalar.text):
        number, unit = found["number"], found["unit"]
        reach, value, step = REACHES[_OF[unit]], float(number), step_of(number)
        least, most = value * reach.least - reach.more, value * reach.most + reach.more
        before = scalar.text[: found.start()].rpartition(" and ")[2].strip()
        place = (scalar.mark.line, begin + found.start("number"), begin + found.end("number"))
        words = " ".join(filter(None, (*said, before)))
        below = math.floor((value - max(step, least)) / step + 1e-9) * step  # steps lead to the number itself
        yield Knob(group, words, unit, number, *place, round(value - below, 6), round(most, 6), step)


def step_of(number: str) -> float:
    """By how much a number is turned: its last written place, or a tenth where that is coarse."""
    digits = len(number.partition(".")[2])
    return float(f"1e-{digits}") if digits else 1.0 if float(number) >= 10 else 0.1
