"""The part of a network on which some signals depend.

Rule of this file: what is left out cannot change them; what is set free may be anything, so whatever holds
then holds with it in place too. Such an INT has no ends: those of its assignment would need a proof of their
own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from steadfall.logic.network import Input, Network


def cone(network: Network, roots: Iterable[str], freed: Callable[[str], bool] = lambda _: False) -> Network:
    """What the roots depend on; a signal that is set free becomes an input."""
    rows = {row.name: row for row in network.assignments}
    wanted: set[str] = set()
    todo = list(roots)
    while todo:
        name = todo.pop()
        if name in wanted:
            continue
        wanted.add(name)
        if name in rows and not freed(name):
            todo += rows[name].reads
    kept = tuple(row for row in network.assignments if row.name in wanted and not freed(row.name))
    inputs = [row for row in network.inputs if row.name in wanted]
    inputs += [
        Input(row.name, row.type, retained=row.retained, mark=row.mark, identity=row.identity)
        for row in rows.values()
        if row.name in wanted and freed(row.name)
    ]
    return Network(tuple(inputs), kept, ())
