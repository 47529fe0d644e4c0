"""Single changes that make a scan come out as wanted: every input alone, every time alone, tried in turn.

Rule of this file: nothing is worked out here; the scan is run again with each. So a single change that does
it is found also where the search by the table (`why.otherwise.otherwise`) passes it over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from steadfall.logic import nodes
from steadfall.logic.nodes import Type
from steadfall.why.facts.facts import CLOCK, INPUT, PREVIOUS, Fact, Signal
from steadfall.why.least.reach import reach
from steadfall.why.otherwise.change import WAIT, Change
from steadfall.why.scans.history import History

Holds = Callable[[Change], bool]


def singles(history: History, signal: str, scan: int, known: Iterable[Change], holds: Holds) -> list[Change]:
    """One change of each input and of each clock that is not known yet and does it by itself, the nearest."""
    done = {(change.kind, change.name) for change in known}
    places = {name: place for place, name in enumerate(history.types)}
    found: list[Change] = []
    root = Fact(INPUT, signal) if signal in history.inputs else Signal(signal)
    within = [one for one in reach(history, root) if isinstance(one, Fact)]
    for fact in sorted(within, key=lambda one: (places.get(one.name, 0), one.kind)):
        tried = _tried(history, scan, fact, places.get(fact.name, 0))
        fits = (one for one in tried if (one.kind, one.name) not in done and holds(one))
        found += [one for one in [next(fits, None)] if one is not None]
    return found


def _tried(history: History, scan: int, fact: Fact, place: int) -> Iterable[Change]:
    """Other values of an input, the nearest first; more time for a clock, the least first."""
    if fact.kind == INPUT:
        yield from _input(history, scan, fact, place)
    elif fact.kind in (CLOCK, PREVIOUS) and fact.name in history.rows_by_name:
        yield from _wait(history, scan, fact, place)


def _input(history: History, scan: int, fact: Fact, place: int) -> Iterable[Change]:
    value, mark = history.moment(scan).values[fact.name], history.inputs[fact.name].mark
    if history.types[fact.name] is Type.BOOL:
        yield Change(INPUT, fact.name, "=", not value, mark, place)
        return
    kind = float if history.types[fact.name] is Type.REAL else int
    for cut in sorted(history.cuts.of(fact), key=lambda one: abs(one - value)):
        if kind(cut) == cut:
            yield from (Change(INPUT, fact.name, op, kind(cut), mark, place) for op in ("<", ">", "="))


def _wait(history: History, scan: int, fact: Fact, place: int) -> Iterable[Change]:
    row, now = history.rows_by_name[fact.name], history.moment(scan)
    if fact.kind == CLOCK and isinstance(row.node, nodes.TIMERS):
        left = max(0, int(now.value(row.node.preset))) - now.clocks[fact.name].et
    elif fact.kind == PREVIOUS and isinstance(row.node, nodes.Since):
        yield from _later(history, fact, int(now.values[fact.name]), place)
        return
    else:
        return
    if left > 0:
        yield Change(WAIT, fact.name, ">=", left, row.node.mark, place)


def _later(history: History, fact: Fact, counted: int, place: int) -> Iterable[Change]:
    row = history.rows_by_name[fact.name]
    for cut in history.cuts.of(fact):
        if cut > counted and cut == int(cut):
            yield Change(WAIT, fact.name, ">=", int(cut) - counted, row.node.mark, place)
