"""Names that two revisions of a plan have for one thing: an input, a circuit, a valve, a body of the plant.

Rule of this file: a name that only one of them has is taken as renamed when at least half of what the plans
say differently with it is the same, word for word, under the other name, and no other name fits as well. It
is a guess, and it is told; a map replaces it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from attrs import field, frozen

from steadfall.plan.meaning.names import parts, word
from steadfall.plan.model import CircuitType, Plan
from steadfall.plan.write.whole import write
from steadfall.roles import Role

ENOUGH = 0.5  # of the lines that name it
PLACE = "?"
# The first word of a signal's name; a valve and a stage may have one name, others are titles.
SIGNALS = "input", "ramp", "setting", "output", "circuit", "valve"
# Titles, and the roles whose signals are made of them: `alarm.hot`. A trip may be an alarm too.
TITLES = {
    "permissive": (Role.PERMISSIVE,),
    "trip": (Role.TRIP, Role.ALARM),
    "alarm": (Role.ALARM,),
}
# Names that mean the thing wherever they stand.
ANYWHERE = ("input", "ramp", "setting", "output", "stage", *TITLES)


@frozen
class Renamed:
    """A name of the first that is another in the second, and means the same."""

    kind: str  # of SIGNALS or TITLES, or body, gas stream, supply, circuit type, stage
    first: str  # a valve or stage as `circuit.name`
    second: str

    @property
    def words(self) -> tuple[str, str]:
        """The name that has changed: a valve's or stage's without its circuit."""
        if self.kind in ("valve", "stage"):
            return parts(self.first)[1], parts(self.second)[1]
        return self.first, self.second

    @property
    def heads(self) -> tuple[tuple[str, str], ...]:
        """What the names of signals begin with that are made of it, in the first and in the second."""
        if self.kind in SIGNALS:
            return ((self.first, self.second),)
        one, two = word(self.first), word(self.second)
        return tuple((f"{role.value}.{one}", f"{role.value}.{two}") for role in TITLES.get(self.kind, ()))

    @property
    def spellings(self) -> tuple[tuple[str, str], ...]:
        """How a text may have it: as it is, and a title as one word in the names of signals."""
        own = self.words
        return (own, *self.heads) if self.kind in TITLES else (own,)


@frozen
class Names:
    """Signals of the second by their names in the first, and back; what is not renamed keeps its name."""

    rows: tuple[Renamed, ...] = ()
    ahead: Mapping[str, str] = field(
        factory=dict, repr=False
    )  # its first one or two words in the second -> the first
    back: Mapping[str, str] = field(factory=dict, repr=False)
    states: Mapping[str, str] = field(factory=dict, repr=False)  # `circuit.state` in the second -> the first

    def in_first(self, name: str) -> str:
        """What a signal of the second is called in the first."""
        return _put(name, self.ahead)

    def state_in_first(self, circuit: str, state: str) -> str:
        """What a state of a circuit of the second is called in the first."""
        own = f"{circuit}.{state}"
        return parts(self.states.get(own, own))[1]

    def in_second(self, name: str) -> str:
        """What a signal of the first is called in the second."""
        return _put(name, self.back)

    def respelled(self, text: str, unless_in: str = "") -> str:
        """A text of the second in the names of the first; a name that stands in the other text is left
        alone.
        """
        known = ((row.kind, *pair) for row in self.rows for pair in row.spellings)
        for kind, first, second in dict.fromkeys(known):
            wanted = _word(kind, second)
            if not wanted.search(unless_in):
                text = first.join(wanted.split(text))
        return text

    def turned(self) -> Names:
        """The same from the other side."""
        return names_of(Renamed(row.kind, row.second, row.first) for row in self.rows)


def _put(name: str, table: Mapping[str, str]) -> str:
    words = name.split(".")
    for count in (2, 1):
        head = ".".join(words[:count])
        if head in table:
            return ".".join([table[head], *words[count:]])
    return name


def names_of(rows: Iterable[Renamed]) -> Names:
    """The table of some renamed things."""
    found = tuple(rows)
    heads = [pair for row in found for pair in row.heads]
    states = {row.second: row.first for row in found if row.kind == "stage"}
    ahead = {second: first for first, second in heads}
    return Names(found, ahead, dict(heads), states)


def guessed(one: Plan, two: Plan) -> Names:
    """The names that have changed, as far as the two texts tell."""
    texts = write(one), write(two)
    lines = _own_lines(*texts), _own_lines(*reversed(texts))
    found = [*_pairs("circuit", (list(one.circuits), list(two.circuits)), lines)]
    known = names_of(found)
    for kind, first, second in (
        ("ramp", one.ramps, two.ramps),
        ("setting", one.settings, two.settings),
        ("output", one.outputs, two.outputs),
        ("body", one.bodies, two.bodies),
        ("gas stream", one.gas_streams, two.gas_streams),
        ("supply", one.supplies, two.supplies),
        ("circuit type", one.circuit_types, two.circuit_types),
        ("main valve", one.main_valves, two.main_valves),
        ("pump", one.pumps, two.pumps),
    ):
        found += _pairs(kind, (list(first), list(second)), lines)
    kept = {known.in_first(name) for name in two.inputs}
    lost = [name for name in one.inputs if name not in kept]
    new = [name for name in two.inputs if known.in_first(name) not in one.inputs]
    found += _pairs("input", (lost, new), lines)
    for circuit in two.circuits:
        own = known.in_first(circuit)
        if own in one.circuits:
            for kind, ours, theirs in _within(one, two, own, circuit):
                pairs = _pairs(kind, (ours, theirs), lines)
                found += [Renamed(kind, f"{own}.{row.first}", f"{circuit}.{row.second}") for row in pairs]
    return names_of([*found, *_titles(one, two, names_of(found))])


def _titles(one: Plan, two: Plan, names: Names) -> Iterable[Renamed]:
    """Permissives, trips and alarms that go by another name, once all other names are the same."""
    first, second = write(one), write(two)
    lines = (
        _own_lines(first, names.respelled(second, first)),
        _own_lines(names.respelled(second, first), first),
    )
    for kind, ours, theirs in (
        ("permissive", one.permissives, two.permissives),
        ("trip", one.trips, two.trips),
        ("alarm", one.alarms, two.alarms),
    ):
        spelled = {_as_it_stands(names, row.name, first): row.name for row in theirs}
        known = [row.name for row in ours]
        yield from (
            Renamed(kind, name, own) for name, own in spelled.items() if name in known and own != name
        )
        yield from _pairs(kind, (known, list(spelled)), lines)


def _as_it_stands(names: Names, title: str, first: str) -> str:
    """A title of the second in the names of the first, as the text has it: what a name means hangs on the
    words before it.
    """
    before = "name: "
    return names.respelled(before + title, first).removeprefix(before)


def _within(one: Plan, two: Plan, own: str, circuit: str) -> Iterable[tuple[str, list[str], list[str]]]:
    """The names inside a circuit, by kind."""
    first, second = one.type_of(own), two.type_of(circuit)
    yield "valve", list(first.valves), list(second.valves)
    yield "stage", _states(first), _states(second)


def _states(kind: CircuitType) -> list[str]:
    return [*(stage.name for stage in kind.stages), *(step.name for step in kind.finish)]


def _own_lines(one: str, two: str) -> list[str]:
    """What a text says and the other does not."""
    left = Counter(map(str.strip, one.splitlines())) - Counter(map(str.strip, two.splitlines()))
    return list(left.elements())


def _pairs(
    kind: str, names: tuple[Sequence[str], Sequence[str]], lines: tuple[list[str], list[str]]
) -> Iterable[Renamed]:
    """The names that only one has, each with the one that fits it best, where there is one."""
    first, second = names
    lost = {name: _uses(_word(kind, name), lines[0]) for name in first if name not in second}
    new = {name: _uses(_word(kind, name), lines[1]) for name in second if name not in first}
    fits = {(a, b): _alike(lost[a], new[b]) for a in lost for b in new}
    for (a, b), share in fits.items():
        rivals = [other for (c, d), other in fits.items() if (c == a) != (d == b)]
        if share >= ENOUGH and all(other < share for other in rivals):
            yield Renamed(kind, a, b)


def _uses(name: re.Pattern[str], lines: Iterable[str]) -> Counter[str]:
    """The lines that name it, with its place left open."""
    return Counter(name.sub(PLACE, line) for line in lines if name.search(line))


def _word(kind: str, name: str) -> re.Pattern[str]:
    """Where a text means this name; that of a circuit or body is often an ordinary word too: `at its upper
    end`.
    """
    own = rf"(?<!\w){re.escape(name)}(?!\w)"
    if kind in ANYWHERE:
        return re.compile(own)
    return re.compile(rf"{own}(?=[.:,\]}}]|$)|(?<=[.\[]){own}|(?<=: ){own}", re.MULTILINE)


def _alike(one: Counter[str], two: Counter[str]) -> float:
    """The share of lines that are the same."""
    most = max(one.total(), two.total())
    return (one & two).total() / most if most else 0.0
