"""The sheet on which a network is written, from top to bottom."""

from __future__ import annotations

from collections.abc import Iterable

from attrs import evolve

from steadfall.logic.forms import stamp
from steadfall.logic.network import ZERO, Assignment, Input, Network
from steadfall.logic.nodes import Constant, Node, Previous, Read, Type, Value
from steadfall.logic.types import type_of
from steadfall.roles import Named
from steadfall.source import NOWHERE, Mark


class Sheet:
    """Takes assignments one by one; a signal is in force from the line below its own."""

    def __init__(self, inputs: Iterable[Input], reserved: Iterable[str]) -> None:
        self.inputs = tuple(inputs)
        self.rows: list[Assignment] = []
        self.types = {row.name: row.type for row in self.inputs}
        self.taken = {*self.types, *reserved}

    def put(
        self, given: Named, node: Node, mark: Mark, initial: Value | None = None, *, retained: bool = False
    ) -> Read:
        """Assigns a signal that others know by this name; `retained`: it is kept while power is off."""
        name, stamped = given.name, stamp(node, mark)
        kind = type_of(stamped)
        self.types[name] = kind
        first = ZERO[kind] if initial is None else initial
        what = given.identity
        self.rows.append(Assignment(name, kind, stamped, first, mark=mark, identity=what, retained=retained))
        return Read(name, kind, mark=mark)

    def helper(self, wish: Named, node: Node, mark: Mark, initial: Value | None = None) -> Read:
        """Assigns an inner signal, under this name or, where it is taken, one like it."""
        return self.put(self.free(wish), node, mark, initial)

    def free(self, wish: Named) -> Named:
        """The name, or one like it where something else has it; it is taken from now on."""
        found, number = wish.name, 1
        while found in self.taken:
            number += 1
            found = f"{wish.name}_{number}"
        self.taken.add(found)
        return evolve(wish, name=found)

    def named(self, wish: Named, node: Node, mark: Mark) -> Node:
        """A node under a name, unless it is a signal or a constant already."""
        return node if isinstance(node, Read | Previous | Constant) else self.helper(wish, node, mark)

    def now(self, name: str, kind: Type, mark: Mark = NOWHERE) -> Node:
        """A signal's value in this scan, or, where it is assigned further down, in the last one."""
        return Read(name, kind, mark=mark) if name in self.types else Previous(name, kind, mark=mark)

    def network(self, outputs: Iterable[str]) -> Network:
        """The finished network."""
        return Network(self.inputs, tuple(self.rows), tuple(outputs))
