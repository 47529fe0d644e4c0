"""Why not: what would have to change for a signal to have another value in this scan.

Rule of this file: a table keyed by node class says what would make a part come out as wanted; the few
cheapest ways are kept. What is named is what the scan is handed: an input, a time that must pass, something
remembered. The scan is run again with every way, and one that does not do it is left out; what takes several
scans is not found. Besides, every input and every time is tried alone (`why.otherwise.single`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import reduce
from typing import Any

from attrs import frozen

from steadfall.comparisons import HOLDS, MIRROR, NEGATION
from steadfall.logic import nodes
from steadfall.logic.nodes import LARGEST, Node, Type, Value
from steadfall.logic.types import type_of
from steadfall.scan.interpreter import ON, TIMING, Clock, Scanner
from steadfall.source import Mark
from steadfall.why.facts.facts import INPUT, PREVIOUS
from steadfall.why.otherwise.change import WAIT, Change
from steadfall.why.otherwise.single import singles
from steadfall.why.scans.history import History
from steadfall.why.scans.moment import Moment

KEPT = 6  # cheapest ways
COST = {INPUT: 2, WAIT: 2, PREVIOUS: 5}


@frozen
class Want:
    """What a part is to be: compared by `op` with `value`."""

    op: str
    value: Any

    def met(self, value: Any) -> bool:
        """Whether a value is as wanted."""
        return bool(HOLDS[self.op](value, self.value))

    @property
    def true(self) -> bool:
        """Of a BOOL: which value is wanted."""
        return bool(self.value) == (self.op == "=")


TRUE, FALSE = Want("=", True), Want("=", False)
Way = frozenset[Change]


def otherwise(
    history: History, signal: str, scan: int, want: Want | None = None
) -> tuple[tuple[Change, ...], ...]:
    """Ways, cheapest first, in which the signal would be as wanted (a BOOL: the opposite of what it is)."""
    value = history.moment(scan).values[signal]
    if want is None:
        if not isinstance(value, bool):
            return ()
        want = FALSE if value else TRUE
    wanted = want

    def holds(way: Way) -> bool:
        return _holds(history, scan, signal, wanted, way)

    found = _Search(history, scan).signal(signal, wanted)
    good = [way for way in found if way and not _contradicts(way) and holds(way)]
    known = [change for way in good if len(way) == 1 for change in way]
    alone = [
        frozenset((one,))
        for one in singles(history, signal, scan, known, lambda one: holds(frozenset((one,))))
    ]
    ways = cheapest([*good, *alone], len(good) + len(alone))
    return tuple(tuple(sorted(way, key=lambda change: change.order)) for way in ways)


class _Search:
    def __init__(self, history: History, scan: int) -> None:
        self.history = history
        self.moment: Moment = history.moment(scan)
        self.places = {name: place for place, name in enumerate(history.types)}
        self.known: dict[tuple[int, str, Any], tuple[Way, ...]] = {}

    def ways(self, node: Node, want: Want, name: str) -> tuple[Way, ...]:
        """The cheapest ways for a part of an assignment; an empty way where it is as wanted already."""
        if not isinstance(node, nodes.BLOCKS) and want.met(self.moment.value(node)):
            return (frozenset(),)
        place = (id(node), want.op, want.value)
        if place not in self.known:
            self.known[place] = cheapest(WAYS[type(node)](node, want, self, name))
        return self.known[place]

    def signal(self, name: str, want: Want) -> tuple[Way, ...]:
        """The cheapest ways for a signal."""
        if want.met(self.moment.values[name]):
            return (frozenset(),)
        if name in self.history.inputs:
            return (self.change(INPUT, name, want, self.history.inputs[name].mark),)
        return self.ways(self.history.rows_by_name[name].node, want, name)

    def wait(self, name: str, ms: int, mark: Mark) -> tuple[Way, ...]:
        """So much time must pass."""
        return (self.change(WAIT, name, Want(">=", ms), mark),) if ms > 0 else (frozenset(),)

    def change(self, kind: str, name: str, want: Want, mark: Mark) -> Way:
        """One change alone."""
        return frozenset({Change(kind, name, want.op, want.value, mark, self.places[name])})

    def left(self, node: nodes.Timer, name: str) -> int:
        """What is left of a timer's preset, in ms."""
        return max(0, int(self.moment.value(node.preset)) - self.moment.clocks[name].et)


def cheapest(ways: Iterable[Way], most: int = KEPT) -> tuple[Way, ...]:
    """The few cheapest, none of which holds another; of equal ones what stands first in the network."""
    ordered = sorted(set(ways), key=_price)
    kept: list[Way] = []
    for way in ordered:
        if not any(other <= way for other in kept):
            kept.append(way)
    return tuple(kept[:most])


def _price(way: Way) -> tuple[int, list[tuple[int, str, str, Value]]]:
    return sum(COST[one.kind] for one in way), sorted(one.order for one in way)


def _together(*groups: Iterable[Way]) -> tuple[Way, ...]:
    """One way of every group at once."""
    return reduce(
        lambda so_far, group: cheapest(a | b for a in so_far for b in group), groups, (frozenset[Change](),)
    )


def _joined(node: nodes.And | nodes.Or, want: Want, search: _Search, name: str) -> Iterable[Way]:
    every = want.true == isinstance(node, nodes.And)
    groups = [search.ways(part, TRUE if want.true else FALSE, name) for part in node.parts]
    return _together(*groups) if every else [way for group in groups for way in group]


def _compare(node: nodes.Compare, want: Want, search: _Search, name: str) -> Iterable[Way]:
    op = node.op if want.true else NEGATION[node.op]
    left, right = search.moment.value(node.left), search.moment.value(node.right)
    if type_of(node.left) is Type.BOOL:
        same = op == "="
        yield from search.ways(node.left, TRUE if right == same else FALSE, name)
        yield from search.ways(node.right, TRUE if left == same else FALSE, name)
        return
    yield from search.ways(node.left, Want(op, right), name)
    yield from search.ways(node.right, Want(MIRROR[op], left), name)


def _select(node: nodes.Select, want: Want, search: _Search, name: str) -> Iterable[Way]:
    yield from _together(search.ways(node.when, TRUE, name), search.ways(node.then, want, name))
    yield from _together(search.ways(node.when, FALSE, name), search.ways(node.otherwise, want, name))


def _mux(node: nodes.Mux, want: Want, search: _Search, name: str) -> Iterable[Way]:
    for place, entry in enumerate(node.entries):
        yield from _together(search.ways(node.index, Want("=", place), name), search.ways(entry, want, name))


def _previous(node: nodes.Previous, want: Want, search: _Search, _name: str) -> Iterable[Way]:
    yield search.change(PREVIOUS, node.name, want, node.mark)


def _set_dominant(node: nodes.SetDominant, want: Want, search: _Search, name: str) -> Iterable[Way]:
    if want.true:
        return search.ways(node.set, TRUE, name)
    unset = search.ways(node.set, FALSE, name)
    return unset if not search.moment.last[name] else _together(unset, search.ways(node.reset, TRUE, name))


def _reset_dominant(node: nodes.ResetDominant, want: Want, search: _Search, name: str) -> Iterable[Way]:
    if not want.true:
        unset = search.ways(node.set, FALSE, name) if not search.moment.last[name] else ()
        return [*search.ways(node.reset, TRUE, name), *unset]
    free = search.ways(node.reset, FALSE, name)
    return free if search.moment.last[name] else _together(free, search.ways(node.set, TRUE, name))


def _ton(node: nodes.Ton, want: Want, search: _Search, name: str) -> Iterable[Way]:
    if not want.true:
        return search.ways(node.part, FALSE, name)
    return _together(
        search.ways(node.part, TRUE, name), search.wait(name, search.left(node, name), node.mark)
    )


def _tof(node: nodes.Tof, want: Want, search: _Search, name: str) -> Iterable[Way]:
    if want.true:
        return search.ways(node.part, TRUE, name)
    return _together(
        search.ways(node.part, FALSE, name), search.wait(name, search.left(node, name), node.mark)
    )


def _tp(node: nodes.Tp, want: Want, search: _Search, name: str) -> Iterable[Way]:
    if want.true:
        return search.ways(node.part, TRUE, name)
    return search.wait(name, search.left(node, name), node.mark)


def _edge(node: nodes.Rise | nodes.Fall, want: Want, search: _Search, name: str) -> Iterable[Way]:
    return search.ways(node.part, TRUE if want.true == isinstance(node, nodes.Rise) else FALSE, name)


def _since(node: nodes.Since, want: Want, search: _Search, name: str) -> Iterable[Way]:
    counted = int(search.moment.values[name])
    if want.op in (">", ">="):
        more = 1 if want.op == ">" else 0
        if want.value + more <= node.limit_ms:
            yield from search.wait(name, int(want.value) + more - counted, node.mark)
    elif want.op in ("<", "<=") and want.value >= 0:
        yield search.change(PREVIOUS, node.event, TRUE, node.mark)


def _elapsed(node: nodes.Elapsed, want: Want, search: _Search, _name: str) -> Iterable[Way]:
    if want.op in (">", ">="):
        yield from search.wait(node.timer, int(want.value) - search.moment.clocks[node.timer].et, node.mark)


def _not(node: nodes.Not, want: Want, search: _Search, name: str) -> Iterable[Way]:
    return search.ways(node.part, FALSE if want.true else TRUE, name)


def _to_real(node: nodes.ToReal, want: Want, search: _Search, name: str) -> Iterable[Way]:
    """A bound on the REAL as the nearest whole bound that means the same."""
    if not math.isfinite(want.value) or (want.op in ("=", "<>") and not float(want.value).is_integer()):
        return ()
    whole = math.ceil(want.value) if want.op in ("<", ">=") else math.floor(want.value)
    return search.ways(node.part, Want(want.op, whole), name)


def _never(_node: Any, _want: Want, _search: _Search, _name: str) -> Iterable[Way]:
    """A constant stays; arithmetic has no one answer."""
    return ()


WAYS: Mapping[type[Node], Callable[[Any, Want, _Search, str], Iterable[Way]]] = {
    nodes.Constant: _never,
    nodes.Read: lambda node, want, search, _: search.signal(node.name, want),
    nodes.Previous: _previous,
    nodes.Elapsed: _elapsed,
    nodes.Not: _not,
    nodes.And: _joined,
    nodes.Or: _joined,
    nodes.Compare: _compare,
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _never,
    nodes.Subtract: _never,
    nodes.Multiply: _never,
    nodes.Least: _never,
    nodes.Greatest: _never,
    nodes.Limit: _never,
    nodes.SquareRoot: _never,
    nodes.ToReal: _to_real,
    nodes.ToTime: _never,
    nodes.Rise: _edge,
    nodes.Fall: _edge,
    nodes.SetDominant: _set_dominant,
    nodes.ResetDominant: _reset_dominant,
    nodes.Ton: _ton,
    nodes.Tof: _tof,
    nodes.Tp: _tp,
    nodes.Since: _since,
}


def _contradicts(way: Way) -> bool:
    """Whether it asks two exact things of one name."""
    exact = [(one.kind, one.name) for one in way if one.op == "="]
    return len(exact) != len(set(exact))


def _holds(history: History, scan: int, signal: str, want: Want, way: Way) -> bool:
    """Whether the scan, run again with these changes and all else as it was, comes out as wanted."""
    now, scanner = history.moment(scan), history.scanner(scan)
    given, last = (_values(history, way, kind) for kind in (INPUT, PREVIOUS))
    if given is None or last is None:
        return False
    scanner.values.update(last)
    for change in sorted((one for one in way if one.kind == WAIT), key=lambda one: one.order):
        _let_pass(history, scanner, now, change)
    inputs = {name: now.values[name] for name in history.inputs} | given
    return want.met(scanner.scan(now.dt, inputs)[signal])


def _values(history: History, way: Way, kind: str) -> dict[str, Value] | None:
    """A value for each signal that changes in this way; None where none is as all of its changes say."""
    found: dict[str, Value] = {}
    for name in dict.fromkeys(one.name for one in way if one.kind == kind):
        own = [one for one in way if one.kind == kind and one.name == name]
        value = meeting(own, history.types[name])
        if value is None:
            return None
        found[name] = value
    return found


def _let_pass(history: History, scanner: Scanner, now: Moment, change: Change) -> None:
    """The timer or count stands as if so much more time had gone."""
    node = history.rows_by_name[change.name].node
    if isinstance(node, nodes.Since):
        scanner.values[node.event] = False
        scanner.values[change.name] = max(0, int(now.values[change.name]) + int(change.value) - now.dt)
    else:
        scanner.clocks[change.name] = Clock(LARGEST, ON if isinstance(node, nodes.Ton) else TIMING)


def meeting(changes: Collection[Change], kind: Type) -> Value | None:
    """A value of a signal that is as all of its changes say; None where there is none so near."""
    ordered = sorted(changes, key=lambda one: one.order)
    tried = [_near(one, kind) for one in ordered]
    if kind is Type.REAL:
        tried.append(sum(float(one.value) for one in ordered) / len(ordered))
    fits = (value for value in tried if all(Want(one.op, one.value).met(value) for one in ordered))
    return next(fits, None)


def _near(change: Change, kind: Type) -> Value:
    """The nearest value, or one near it, that is as the change says."""
    if kind is Type.BOOL:
        return bool(change.value) == (change.op == "=")
    step = {"<": -1, ">": 1, "<>": 1}.get(change.op, 0)
    return float(change.value) + step if kind is Type.REAL else int(change.value) + step
