"""Whether a plan gives a plant, and which of its numbers how often.

Rule of this file: it counts keys in the tree by the table of keys, before any value is read: a key of the
plant is missing only where the plan has a plant.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from attrs import field, frozen

from steadfall.plan.keys import kinds
from steadfall.plan.keys.table import SECTIONS, TOP
from steadfall.plan.text.tree import Items, Node, Table

MANY = {"body": "bodies", "supply": "supplies"}  # all others with an s


@frozen
class Given:
    """The line in which a plan first speaks of a plant (None: nowhere), and how many tables of a section
    there are and have a key.
    """

    line: int | None = 0
    tables: Mapping[str, int] = field(factory=dict)
    having: Mapping[tuple[str, str], int] = field(factory=dict)

    @property
    def has_plant(self) -> bool:
        """Whether the plan has a plant."""
        return self.line is not None

    def missing(self, section: str, key: kinds.Key) -> str:
        """That a key is missing, and for a key of the plant how often it is not, or why it is needed."""
        said = "this key is missing"
        count, all_ = self.having.get((section, key.name), 0), self.tables.get(section, 0)
        if not key.of_plant or not self.line:
            return said
        if not count:
            return said if key.shows_plant else f"{said}, and line {self.line} speaks of a plant"
        words = section.replace("_", " ")
        return f"{said}: {key.name} is given for {count} of {all_} {MANY.get(words, f'{words}s')}"


def given(node: Node) -> Given:
    """What a plan gives of a plant."""
    lines: list[int] = []
    tables: dict[str, int] = {}
    having: dict[tuple[str, str], int] = {}
    for section, table in _tables(node, TOP):
        tables[section.name] = tables.get(section.name, 0) + 1
        known = {key.name: key for key in section.keys if key.of_plant or key.shows_plant}
        for entry in table.entries:
            key = known.get(entry.key.text)
            if key is not None:
                place = section.name, key.name
                having[place] = having.get(place, 0) + 1
                lines += [entry.key.mark.line] if key.shows_plant else []
    return Given(min(lines, default=None), tables, having)


def _tables(node: Node, section: kinds.Section) -> Iterator[tuple[kinds.Section, Table]]:
    """Every table of the tree with its section, as far as the sections are told by the keys alone."""
    if not isinstance(node, Table):
        return
    yield section, node
    known = {key.name: key.kind for key in section.keys}
    for entry in node.entries:
        kind = known.get(entry.key.text)
        if isinstance(kind, kinds.One):
            yield from _tables(entry.value, SECTIONS[kind.section])
        elif isinstance(kind, kinds.Named) and isinstance(entry.value, Table):
            for item in entry.value.entries:
                yield from _tables(item.value, SECTIONS[kind.section])
        elif isinstance(kind, kinds.Many) and isinstance(entry.value, Items) and len(kind.sections) == 1:
            for one in entry.value.nodes:
                yield from _tables(one, SECTIONS[kind.sections[0]])
