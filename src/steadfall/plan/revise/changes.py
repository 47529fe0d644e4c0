"""What two revisions of a plan say differently, place by place, in one settled form of words.

Rule of this file: what means the same is no change; comments, layout, the choice of units and the order of
named things do not count. Rows of a list are told apart by their name, else by their first words, else by
what they say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from attrs import frozen

from steadfall.plan.keys.kinds import Named, Section
from steadfall.plan.keys.table import SECTIONS, TOP
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.plan.revise.renames import Names
from steadfall.plan.text.tree import Entry, Items, Node, Scalar, Table, read_tree
from steadfall.plan.write.whole import write

FIRST_KEYS = ("name", "demand", "when", "goal", "of", "fault", "between")  # what a row of a list goes by


@frozen
class Change:
    """A place, and what stands there in each plan; "" where it does not."""

    place: tuple[str, ...]
    first: str
    second: str

    @property
    def where(self) -> str:
        """The place as it is read."""
        return ": ".join(self.place)

    @property
    def of_controller(self) -> bool:
        """Whether the controller is made of what stands there."""
        return _of_controller(self.place)


def changes(one: Plan, two: Plan, names: Names = Names()) -> tuple[Change, ...]:  # noqa: B008 - it is frozen
    """Every difference, in the order of the first plan, what only the second has behind its neighbours.

    What is only renamed is no difference.
    """
    first, second = write(one), write(two)
    known = names.respelled(second, first)
    found = _differ((), *(read_tree(text, "", Problems()) for text in (first, known)))
    back = names.turned()
    return tuple(Change(row.place, row.first, back.respelled(row.second, second)) for row in found)


def _differ(place: tuple[str, ...], one: Node | None, two: Node | None) -> Iterable[Change]:
    first, second = _rows(one), _rows(two)
    missing = (one is None or two is None) and len(place) > 1  # told as a whole
    if missing or not (first or second):
        if words(one) != words(two):
            yield Change(place, words(one), words(two))
        return
    for name in _merged(list(first or ()), list(second or ())):
        yield from _differ((*place, name), (first or {}).get(name), (second or {}).get(name))


def _rows(node: Node | None) -> Mapping[str, Node] | None:
    """What is inside, by name."""
    if isinstance(node, Table):
        return {entry.key.text: entry.value for entry in node.entries}
    if isinstance(node, Items):
        found: dict[str, Node] = {}
        for row in node.nodes:
            name = _name(row)
            while name in found:
                name += "'"
            found[name] = row
        return found
    return None


def _name(row: Node) -> str:
    """What a row of a list goes by."""
    if isinstance(row, Table):
        known = {entry.key.text: entry for entry in row.entries}
        for key in FIRST_KEYS:
            if key in known:
                return words(known[key].value) if key == "name" else f"{key} {words(known[key].value)}"
    return words(row)


def _merged(first: list[str], second: list[str]) -> Iterable[str]:
    """The names of both, in the order of the first; what only the second has comes behind what it follows
    there.
    """
    found = list(first)
    for place, name in enumerate(second):
        if name not in found:
            before = [other for other in second[:place] if other in found]
            found.insert(found.index(before[-1]) + 1 if before else 0, name)
    return found


def words(node: Node | None) -> str:
    """A value as it is written in a line."""
    if node is None:
        return ""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Items):
        return f"[{', '.join(words(part) for part in node.nodes)}]"
    return ", ".join(_entry(entry) for entry in node.entries)


def _entry(entry: Entry) -> str:
    inner = words(entry.value)
    return (
        f"{entry.key.text}: {{{inner}}}" if isinstance(entry.value, Table) else f"{entry.key.text}: {inner}"
    )


def _of_controller(place: tuple[str, ...], section: Section = TOP) -> bool:
    """Whether the controller is made of a place: of all below a key, where nothing there is marked."""
    if not place or not any(key.control for key in section.keys):
        return True
    key = next(key for key in section.keys if key.name == place[0])
    if isinstance(key.kind, Named):
        return key.control and _of_controller(place[2:], SECTIONS[key.kind.section])
    return key.control
