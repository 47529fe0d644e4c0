"""What a signal may rest on in a scan, whatever the values are."""

from __future__ import annotations

from steadfall.logic import nodes
from steadfall.why.facts.facts import Counted, Fact, Part
from steadfall.why.facts.looks import looks_at
from steadfall.why.scans.history import History


def reach(history: History, root: Part) -> set[Part]:
    """The facts, signals and timers that a part may look at, and what these look at in turn."""
    todo, found = [root], set[Part]()
    if isinstance(root, nodes.NODE_CLASSES):
        todo = list(looks_at(root, "", history.inputs))
    while todo:
        part = todo.pop()
        if part in found:
            continue
        found.add(part)
        if not isinstance(part, Fact):
            own = getattr(part, "timer" if isinstance(part, Counted) else "name")
            todo += history.looks_at[own]
    return found
