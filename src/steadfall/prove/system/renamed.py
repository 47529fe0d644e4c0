"""A node under other names."""

from __future__ import annotations

from collections.abc import Mapping

import attrs

from steadfall.logic.nodes import Elapsed, Node, Previous, Read, Since
from steadfall.logic.types import children


def renamed(node: Node, names: Mapping[str, str], last: Mapping[str, str] | None = None) -> Node:
    """A node that reads other names; `last`: others for what it reads of the last scan."""
    last = names if last is None else last
    given: dict[str, object] = {}
    for row in attrs.fields(type(node)):
        value = getattr(node, row.name)
        if isinstance(value, tuple):
            given[row.name] = tuple(renamed(part, names, last) for part in value)
        elif row.name in ("name", "timer", "event") and isinstance(node, Read | Previous | Elapsed | Since):
            given[row.name] = (last if isinstance(node, Previous | Since) else names).get(value, value)
        elif any(value is part for part in children(node)):
            given[row.name] = renamed(value, names, last)
    return attrs.evolve(node, **given)  # type: ignore[arg-type]
