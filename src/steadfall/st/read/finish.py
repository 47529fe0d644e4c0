"""From rows to a network: what nobody asks for is left out, and every signal gets the name that others know
it by.

Rule of this file: a variable's value at the end of the scan carries its name; steps on the way there are
numbered, after a `~` that no other name has.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import attrs
from attrs import define, field

from steadfall.logic.forms import stamp
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Elapsed, Node, Previous, Read, Since
from steadfall.logic.types import NetworkError, rebuilt, type_of, walk
from steadfall.plan.problems import did_you_mean
from steadfall.roles import Identity, Role
from steadfall.source import Mark, PlanError, Problem
from steadfall.st.read.address import canonical
from steadfall.st.read.blocks import STANDARD
from steadfall.st.read.clocks import tightened
from steadfall.st.read.world import World


def finish(world: World, names: Mapping[str, str], text: str, *, lenient: bool) -> Network:
    """The network of what was read; `names` tells which signal a variable stands for."""
    spelled: dict[str, str] = {}
    for path, name in names.items():
        known = world.addresses.known.get(canonical(path))
        key = known.path if known else canonical(path) if path.startswith("%") else path.lower()
        if spelled.setdefault(key, name) != name:
            read = f"'{path}' is '{name}' and '{spelled[key]}'"
            raise PlanError([Problem(Mark(world.text.name, 1, 1), "twice", "map", read, "one signal")], text)
    if lenient:
        spelled = {path: name for path, name in spelled.items() if path in world.space.slots}
    return _Finish(world, spelled, text).network()


@define
class _Finish:
    world: World
    names: Mapping[str, str]
    text: str
    public: dict[str, str] = field(factory=dict)  # path -> signal
    renamed: dict[str, str] = field(factory=dict)  # row -> signal
    rows: dict[str, Assignment] = field(factory=dict)
    retained: set[str] = field(factory=set)  # rows of what is kept while power is off
    ends: dict[str, Assignment] = field(factory=dict)  # path -> row that has its value at the end of the scan

    def network(self) -> Network:
        self._check_names()
        self._adopt()
        self._publish()
        wanted = self._wanted()
        rows = [row for row in self.world.space.rows if row.name in wanted]
        ends = {row.name: row for row in self.ends.values()}
        extra = [row for name, row in ends.items() if name in wanted and name not in self._by_name()]
        made = [self._made(row) for row in [*rows, *extra]]
        self._check(made)
        inputs = [
            Input(
                self.public[path],
                slot.type,
                mark=slot.mark,
                holds=slot.holds,
                first=slot.initial,
                retained=slot.retained,
                identity=Identity(Role.INPUT, of=self.public[path]),
            )
            for path, slot in self.world.inputs.items()
        ]
        outputs = tuple(self.public[path] for path in self.world.outputs)
        return Network(tuple(inputs), tightened(made, outputs), outputs)

    def _check_names(self) -> None:
        slots = self.world.space.slots
        for path, name in self.names.items():
            if path not in slots:
                hint = did_you_mean(path, slots)
                mark = Mark(self.world.text.name, 1, 1)
                raise PlanError(
                    [Problem(mark, "unknown-name", "map", f"'{path}' is no variable{hint}", "")], self.text
                )
            self.public[path] = name

    def _adopt(self) -> None:
        """A variable that only hands on what a timer, latch or block holds gives it its name: one state, one
        name.
        """
        space = self.world.space
        for path, name in self.names.items():
            held = space.get(path)
            row = self._by_name().get(held.name) if isinstance(held, Read) else None
            if row is None or row.name in self.renamed or row.initial != space.slots[path].initial:
                continue
            source = space.owners[row.name]
            if source == path or source in self.names:
                continue
            self.renamed[row.name], self.ends[path] = name, row
            if source in space.slots and space.held.get(source) == held:
                self.public[source], self.ends[source] = name, row

    def _publish(self) -> None:
        """Names for all variables, those of the map first."""
        taken = set(self.public.values())
        for path, slot in self.world.space.slots.items():
            if path not in self.public:
                name, number = slot.name, 1
                while name in taken:
                    number += 1
                    name = f"{slot.name} ({number})"
                self.public[path] = name
                taken.add(name)

    def _end(self, path: str) -> Assignment:
        """The row that has a variable's value at the end of the scan."""
        if path not in self.ends:
            space, slot = self.world.space, self.world.space.slots[path]
            held = space.get(path)
            known = self._by_name().get(held.name) if isinstance(held, Read) else None
            if known is None or space.owners[known.name] != path or known.name in self.renamed:
                known = Assignment(
                    f"{path}~end", slot.type, held, slot.initial, mark=slot.mark, holds=slot.holds
                )
            if slot.retained:
                self.retained.add(known.name)
            self.renamed[known.name] = self.public[path]
            self.ends[path] = known
        return self.ends[path]

    def _by_name(self) -> dict[str, Assignment]:
        if not self.rows:
            self.rows.update((row.name, row) for row in self.world.space.rows)
        return self.rows

    def _kept(self) -> Iterable[str]:
        """The variables that are signals: outputs, those of the map, and whatever else is assigned by
        name.
        """
        yield from self.world.outputs
        yield from (path for path in self.names if path not in self.world.inputs)
        given = self.world.given
        for path in sorted(self.world.space.learnt.assigned):
            owner = path.rpartition(".")[0]
            hidden = "#" in path or "()" in path or path in given
            if not hidden and self.world.instances.get(owner) not in STANDARD:
                yield path

    def _wanted(self) -> set[str]:
        by_name = self._by_name()
        found: set[str] = set()
        waiting = [self._end(path) for path in dict.fromkeys(self._kept())]
        while waiting:
            row = waiting.pop()
            if row.name in found:
                continue
            found.add(row.name)
            for node in walk(row.node):
                if isinstance(node, Read) and node.name in by_name:
                    waiting.append(by_name[node.name])
                elif isinstance(node, Elapsed):
                    waiting.append(by_name[node.timer])
                elif isinstance(node, Previous):
                    waiting.append(self._end(node.name))
                elif isinstance(node, Since):
                    waiting.append(self._event(node.event))
        return found

    def _event(self, path: str) -> Assignment:
        """The row that tells whether an event has been: that of the signal behind it, where it is one."""
        held = self.world.space.get(path)
        row = self._by_name().get(held.name) if isinstance(held, Read) else None
        return self._end(path) if row is None else row

    def _made(self, row: Assignment) -> Assignment:
        row = attrs.evolve(row, retained=row.name in self.retained)
        node = stamp(self._spelled(row.node), row.mark)
        name = self.renamed.get(row.name)
        if name is None:
            return attrs.evolve(row, node=node)
        return attrs.evolve(row, name=name, node=node, identity=Identity(Role.READ, of=name))

    def _spelled(self, node: Node) -> Node:
        """A node with every signal under its public name."""
        if isinstance(node, Read):
            name = self.renamed.get(node.name) or (
                self.public[node.name] if node.name in self.world.inputs else node.name
            )
            return attrs.evolve(node, name=name)
        if isinstance(node, Previous):
            return attrs.evolve(node, name=self.public[node.name])
        if isinstance(node, Elapsed):
            return attrs.evolve(node, timer=self.renamed.get(node.timer, node.timer))
        if isinstance(node, Since):
            event = self._event(node.event).name
            return attrs.evolve(node, event=self.renamed.get(event, event))
        return rebuilt(node, self._spelled)

    def _check(self, rows: list[Assignment]) -> None:
        """Whole numbers beyond any length, and whatever else a network does not hold, are problems of the
        text.
        """
        problems = []
        for row in rows:
            try:
                type_of(row.node)
            except NetworkError as error:
                read = str(error).removeprefix(f"{row.mark}: ")
                problems.append(
                    Problem(row.mark, "type", "", read.removeprefix(f"{self.world.text.name}:"), "")
                )
        if problems:
            raise PlanError(problems, self.text)
