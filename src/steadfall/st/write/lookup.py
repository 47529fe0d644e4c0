"""Look-ups as a person would write them: which states, rather than a row of values.

Rule of this file: the same value for every index. A look-up counts an index below 0 as the first place and
one past the end as the last, so the first place is "0 or less" and the last "so much or more".
"""

from __future__ import annotations

from steadfall.logic.forms import FALSE, TRUE, all_of, any_of, equal, numbered
from steadfall.logic.nodes import Compare, Constant, Mux, Node, Select, Type
from steadfall.logic.types import type_of

MOST_GROUPS = 3  # of places that share a value; beyond, a row is easier to read


def mux(node: Mux) -> Node:
    """A look-up of true or false as the places where it is true, one of few values as choices; else as it
    is.
    """
    if len(node.entries) == 1:
        return node.entries[0]
    groups = grouped(node.entries)
    if type_of(node) is Type.BOOL:
        parts = [all_of((_places(node, places), entry)) for entry, places in groups if entry != FALSE]
        return any_of(parts)
    if len(groups) > MOST_GROUPS:
        return node
    groups.sort(key=lambda group: -len(group[1]))
    found: Node = groups[0][0]
    for entry, places in groups[1:]:
        found = Select(_places(node, places), entry, found)
    return found


def grouped(entries: tuple[Node, ...]) -> list[tuple[Node, list[int]]]:
    """Entries that are the same, with their places; a value without a name goes with any like it."""
    found: list[tuple[Node, list[int]]] = []
    for place, entry in sorted(enumerate(entries), key=lambda pair: (not _label(pair[1]), pair[0])):
        for known, places in found:
            if known == entry and _label(entry) in ("", _label(known)):
                places.append(place)
                break
        else:
            found.append((entry, [place]))
    return sorted(((entry, sorted(places)) for entry, places in found), key=lambda group: group[1][0])


def _label(node: Node) -> str:
    return node.label if isinstance(node, Constant) else ""


def _places(node: Mux, places: list[int]) -> Node:
    """True where the index points at one of these places."""
    last = len(node.entries) - 1
    if len(places) == last + 1:
        return TRUE
    return any_of(_at(node.index, place, last) for place in places)


def _at(index: Node, place: int, last: int) -> Node:
    number = numbered(place)
    if place == 0:
        return Compare("<=", index, number)
    return Compare(">=", index, number) if place == last else equal(index, number)
