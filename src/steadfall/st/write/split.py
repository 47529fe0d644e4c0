"""Circuits of one type as one block of code: what differs between them becomes the block's inputs.

Rule of this file: the rows of all circuits of a type are laid side by side. Where they are the same but for
the circuit's name the block has them once; where they differ in something that comes from outside (a signal,
a constant, a condition) the block has an input there, and each circuit gives it its own. Circuits that differ
in more than that do not share a block.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import attrs
from attrs import field, frozen

from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Constant, Elapsed, Node, Previous, Read, Since, Type, Value
from steadfall.logic.types import besides, children, rebuilt, type_of, walk
from steadfall.roles import HELPER, Identity, within
from steadfall.source import Mark
from steadfall.st.write.names import Names


class UnlikeError(Exception):
    """These circuits cannot share a block."""


@frozen
class Row:
    """One signal of a unit of code, and the places in the plan that it came from."""

    name: str
    type: Type
    node: Node
    initial: Value
    marks: tuple[Mark, ...] = field(default=(), eq=False)
    identity: Identity = field(default=HELPER, eq=False)
    retained: bool = False


@frozen
class Formal:
    """An input of a block."""

    name: str
    type: Type


@frozen
class Block:
    """Rows that several circuits share, the inputs, and for each circuit what it gives each input."""

    rows: tuple[Row, ...]
    inputs: tuple[Formal, ...]
    users: Mapping[str, Mapping[str, Node]]  # circuit -> input -> what it is given


def plain(row: Assignment) -> Row:
    """An assignment as a row of its own."""
    return Row(row.name, row.type, row.node, row.initial, (row.mark,), row.identity, row.retained)


def share(bodies: Mapping[str, Sequence[Assignment]]) -> Block:
    """One block for these circuits' rows; raises UnlikeError where there is none."""
    return _Sharing(bodies).block()


class _Sharing:
    def __init__(self, bodies: Mapping[str, Sequence[Assignment]]) -> None:
        self.bodies, self.circuits = bodies, tuple(bodies)
        self.own = [{row.name: place for place, row in enumerate(body)} for body in bodies.values()]
        first = self.circuits[0]
        self.local = [within(row.name, first) for row in bodies[first]]
        self.formals: dict[tuple[Node, ...], Formal] = {}
        self.names = Names(self.local)
        self.row = ""

    def block(self) -> Block:
        rows = [self._row(place, rows) for place, rows in enumerate(self._side_by_side())]
        users = {
            circuit: {formal.name: nodes[number] for nodes, formal in self.formals.items()}
            for number, circuit in enumerate(self.circuits)
        }
        return Block(tuple(rows), tuple(self.formals.values()), users)

    def _side_by_side(self) -> list[tuple[Assignment, ...]]:
        if len({len(body) for body in self.bodies.values()}) != 1:
            raise UnlikeError("they have different numbers of signals")
        return list(zip(*self.bodies.values(), strict=True))

    def _row(self, place: int, rows: tuple[Assignment, ...]) -> Row:
        if len({(row.type, row.initial) for row in rows}) != 1:
            raise UnlikeError(f"{rows[0].name} has another type or another value at power-up")
        self.row = self.local[place]
        marks = tuple(dict.fromkeys(row.mark for row in rows))
        node = self.merge(tuple(row.node for row in rows))
        return Row(self.row, rows[0].type, node, rows[0].initial, marks, rows[0].identity)

    def merge(self, nodes: tuple[Node, ...]) -> Node:
        """The node that stands for all of these in the block."""
        if len({type(node) for node in nodes}) != 1:
            return self._given(nodes)
        first = nodes[0]
        if isinstance(first, Constant):
            return first if len(set(nodes)) == 1 else self._given(nodes)
        if isinstance(first, Read | Previous):
            place = self._place([node.name for node in nodes if isinstance(node, Read | Previous)])
            return self._given(nodes) if place is None else attrs.evolve(first, name=self.local[place])
        if isinstance(first, Elapsed):
            return attrs.evolve(first, timer=self._must([n.timer for n in nodes if isinstance(n, Elapsed)]))
        if isinstance(first, Since):
            sinces = [node for node in nodes if isinstance(node, Since)]
            if len({node.limit_ms for node in sinces}) != 1:
                raise UnlikeError(f"{self.row} counts to different times")
            return attrs.evolve(first, event=self._must([node.event for node in sinces]))
        return self._parts(nodes)

    def _parts(self, nodes: tuple[Node, ...]) -> Node:
        if len({besides(node) for node in nodes}) != 1:
            return self._given(nodes)
        alike = iter(list(zip(*map(children, nodes), strict=True)))
        return rebuilt(nodes[0], lambda _: self.merge(next(alike)))

    def _place(self, names: list[str]) -> int | None:
        """The place of a row that every circuit has of its own, or None."""
        places = {own.get(name) for name, own in zip(names, self.own, strict=True)}
        return places.pop() if len(places) == 1 else None

    def _must(self, names: list[str]) -> str:
        place = self._place(names)
        if place is None:
            raise UnlikeError(f"{self.row} counts from a signal that is not the circuit's own")
        return self.local[place]

    def _given(self, nodes: tuple[Node, ...]) -> Node:
        """An input of the block in the place of what the circuits have there."""
        for node, own in zip(nodes, self.own, strict=True):
            for part in walk(node):
                if (isinstance(part, Read) and part.name in own) or isinstance(part, Elapsed):
                    raise UnlikeError(f"{self.row} differs in more than what it is given from outside")
        kind = type_of(nodes[0])
        if len({type_of(node) for node in nodes}) != 1:
            raise UnlikeError(f"{self.row} differs in type")
        if nodes not in self.formals:
            self.formals[nodes] = Formal(self.names.of(nodes, self._wish(nodes)), kind)
        return Read(self.formals[nodes].name, kind, mark=nodes[0].mark)

    def _wish(self, nodes: tuple[Node, ...]) -> str:
        first = nodes[0]
        if isinstance(first, Constant):
            return first.label or f"{self.row}.preset"
        if isinstance(first, Read | Previous):
            name = within(first.name, self.circuits[0])
            return f"{name}.last" if isinstance(first, Previous) else name
        return f"{self.row}.given"
