"""A node under other names."""

from __future__ import annotations

from collections.abc import Mapping

import attrs

from steadfall.logic.nodes import Elapsed, Node, Previous, Read, Since
from steadfall.logic.types import rebuilt


def renamed(node: Node, names: Mapping[str, str], last: Mapping[str, str] | None = None) -> Node:
    """A node that reads other names; `last`: others for what it reads of the last scan."""
    last = names if last is None else last
    if isinstance(node, Read):
        return attrs.evolve(node, name=names.get(node.name, node.name))
    if isinstance(node, Previous):
        return attrs.evolve(node, name=last.get(node.name, node.name))
    if isinstance(node, Elapsed):
        return attrs.evolve(node, timer=names.get(node.timer, node.timer))
    if isinstance(node, Since):
        return attrs.evolve(node, event=last.get(node.event, node.event))
    return rebuilt(node, lambda part: renamed(part, names, last))
