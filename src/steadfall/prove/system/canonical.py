"""A question without its names: two circuits of one type ask the same thing, and it is answered once.

Rule of this file: signals are numbered in the order in which the goal leads to them, and nothing else is
changed. Two questions are the same when everything that is left is equal: every row with its type, first
value, operators, constants and order of parts, the longest scan, power cuts. So a proof of one is a proof of
the other, with the names put back.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Iterable, Mapping
from functools import cached_property

from attrs import evolve, frozen

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network, named
from steadfall.logic.nodes import Node
from steadfall.prove.solver.term_text import NotATermError
from steadfall.prove.system.kept import Part, key_of
from steadfall.prove.system.renamed import renamed

_NOW, _LAST = (nodes.Read, nodes.Elapsed), (nodes.Previous, nodes.Since)
_SYMBOL = re.compile(r"\|[^|]*\|")  # a part of the state, as it is written in an invariant


@frozen
class Question:
    """Whether a goal of a network can ever be reached, in names that say nothing."""

    network: Network
    goal: str
    longest_ms: int
    power_cut: bool

    def __hash__(self) -> int:
        """By what tells most questions apart: to go through all of a network takes as long as to write it."""
        kinds = (type(row.node) for row in self.network.assignments)
        return hash((self.goal, self.longest_ms, self.power_cut, *kinds))


@frozen(eq=False, slots=False)
class Canonical:
    """A question and the names that its signals have in the plan."""

    question: Question
    names: Mapping[str, str]  # own name -> name in the question

    @cached_property
    def _symbols(self) -> Mapping[str, str]:
        """Each part of the state as it is written in the names of the plan -> in those of the question."""
        keys = ((key_of(part, own), key_of(part, new)) for own, new in self.names.items() for part in Part)
        return {f"|{own}|": f"|{new}|" for own, new in keys}

    @cached_property
    def _own(self) -> Mapping[str, str]:
        return {new: own for own, new in self._symbols.items()}

    def put_back(self, invariant: str) -> str:
        """An invariant of the question, in the names of the plan."""
        return _respelled(invariant, self._own)

    def take_out(self, invariant: str) -> str:
        """An invariant in the names of the plan, in those of the question; raises NotATermError."""
        return _respelled(invariant, self._symbols)


def canonical(part: Network, goal: str, longest_ms: int, *, power_cut: bool = False) -> Canonical:
    """The question of a goal; `part` is all that the goal depends on."""
    order = _order({row.name: row for row in part.assignments}, goal)
    # A power cut spares observers: two questions are one only where the same signals are observers.
    what = part.identities
    names = {name: f"s{place}{':' * what[name].watches}" for place, name in enumerate(order)}
    inputs = {row.name: row for row in part.inputs}
    rows = {row.name: row for row in part.assignments}
    network = Network(
        tuple(evolve(inputs[name], name=names[name]) for name in order if name in inputs),
        tuple(
            evolve(rows[name], name=names[name], node=renamed(rows[name].node, names))
            for name in order
            if name in rows
        ),
        (),
    )
    return Canonical(Question(network, names[goal], longest_ms, power_cut), names)


def _order(rows: Mapping[str, Assignment], goal: str) -> list[str]:
    """Every signal that the goal leads to: what a row reads in its scan before the row, what it remembers
    after.
    """
    found: dict[str, None] = {}
    later: deque[str] = deque([goal])
    while later:
        for name in _before(later.popleft(), rows, found):
            found[name] = None
            if name in rows:
                later.extend(_named(rows[name], _LAST))
    return list(found)


def _before(name: str, rows: Mapping[str, Assignment], found: Mapping[str, None]) -> Iterable[str]:
    """A signal, and before it what it reads in the same scan, innermost first, unless it is found already."""
    stack = [(name, False)]
    while stack:
        one, ready = stack.pop()
        if one in found:
            continue
        if ready or one not in rows:
            yield one
            continue
        stack.append((one, True))
        stack.extend((part, False) for part in reversed(list(_named(rows[one], _NOW))))


def _named(row: Assignment, which: tuple[type[Node], ...]) -> Iterable[str]:
    return (named(node) for node in row.naming if isinstance(node, which))


def _respelled(invariant: str, symbols: Mapping[str, str]) -> str:
    def other(found: re.Match[str]) -> str:
        if found[0] not in symbols:
            raise NotATermError(found.start(), f"'{found[0]}' is no signal of this question")
        return symbols[found[0]]

    return _SYMBOL.sub(other, invariant)
