"""Where a requirement does not hold for every setting: the range of one setting within which it does.

Rule of this file: what is said is proved, each range anew; that a wider one might be found elsewhere is not
excluded. One setting is narrowed, the others keep their whole range.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from attrs import evolve, field, frozen

from steadfall.logic.cone import cone
from steadfall.logic.network import Network
from steadfall.plan.meaning.settled import narrowed
from steadfall.plan.model import Plan, Setting
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.by_lemmas import by_lemmas
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import PROVED, REFUTED, Verdict, Within
from steadfall.prove.decide.simulation import simulate
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.whole import watched
from steadfall.roles import in_use

MOST = 4  # refuted requirements that are looked at
RUNS = 6  # that may show at once that one does not hold
PARTS = 32  # of the range of a level

Ends = tuple[float, float]


def ranges(plan: Plan, refuted: list[Verdict], ask: Ask, own: Hands) -> Iterator[Within]:
    """For each refuted requirement that hangs on settings, where it holds."""
    little = evolve(ask, effort=ask.effort // 4)
    for found in own.each(_found, plan, [(row.required.name, little) for row in refuted[:MOST]]):
        yield from found


def _found(plan: Plan, given: tuple[str, Ask]) -> list[Within]:
    """Where one of them holds."""
    return list(_Search(plan, *given).found())


def hanging(plan: Plan, verdicts: tuple[Verdict, ...]) -> list[Verdict]:
    """The refuted ones that hang on a setting."""
    if not plan.settings:
        return []
    network = watched(plan).network
    rows = (row for row in verdicts if row.verdict == REFUTED)
    return [row for row in rows if _settings(plan, network, row.required.bad)]


def _settings(plan: Plan, network: Network, goal: str) -> list[Setting]:
    """The settings that a goal hangs on."""
    known = cone(network, [goal]).rows
    return [item for name, item in plan.settings.items() if in_use(name).name in known]


@frozen
class _Search:
    """The search for one requirement."""

    plan: Plan
    name: str
    ask: Ask
    known: dict[tuple[tuple[str, Ends], ...], bool] = field(factory=dict)

    def found(self) -> Iterator[Within]:
        """The range of the first setting that alone makes it hold; else whether it holds at the defaults."""
        of = watched(self.plan)
        goal = next(row.bad for row in of.required if row.name == self.name)
        settings = _settings(self.plan, of.network, goal)
        if not self.holds({item.name: (item.default, item.default) for item in settings}):
            yield Within(self.name)
            return
        for item in settings:
            if self.holds({item.name: (item.default, item.default)}):
                yield self._around(item)
                return
        yield Within(self.name, at_defaults=True)

    def _around(self, item: Setting) -> Within:
        """As far from its default to both sides as it holds."""
        low = edge(item, item.low, lambda end: self.holds({item.name: (end, item.default)}))
        high = edge(item, item.high, lambda end: self.holds({item.name: (item.default, end)}))
        whole = self.holds({item.name: (low, high)})
        ends = (low, high) if whole else (item.default, item.default)
        return Within(self.name, item, *ends, at_defaults=True)

    def holds(self, ends: dict[str, Ends]) -> bool:
        """Whether it is proved with these ends of settings."""
        key = tuple(ends.items())
        if key not in self.known:
            self.known[key] = self._proved(ends)
        return self.known[key]

    def _proved(self, ends: dict[str, Ends]) -> bool:
        of = watched(narrowed(self.plan, ends))
        row = next(row for row in of.required if row.name == self.name)
        seen = simulate(of, [row], RUNS)[row.name]
        if seen.violation is not None:
            return False
        known = by_lemmas(of, [row], self.ask, Hands()).get(row.name)
        return decide(of, row, self.ask, seen, known).verdict == PROVED


def edge(item: Setting, end: float, holds: Callable[[float], bool]) -> float:
    """The farthest value towards an end, in steps from the default, up to which it holds."""
    span = abs(end - item.default)
    step = 0.01 if item.is_time else span / PARTS
    if not span or holds(end):
        return end
    good, bad = 0, max(1, round(span / step))
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (middle, bad) if holds(_at(item, end, middle * step)) else (good, middle)
    return _at(item, end, good * step)


def _at(item: Setting, end: float, way: float) -> float:
    return round(item.default + (way if end > item.default else -way), 9)
