"""Where in the plant's arrays each quantity of `quantities` is to be seen, for the kernel.

Rule of this file: one row for each quantity; a test counts them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from steadfall import quantities as q
from steadfall.plan.meaning.names import Observed
from steadfall.plant import fields as f
from steadfall.plant.grid.bodies import Nodes
from steadfall.plant.state import Ints

Row = tuple[int, int, int, int]  # of `Constants.seen`
# Of the thing of a name, which is so far down the list of its sort.
Place = Callable[[Nodes, str, int], Row]


def _of(how: int, column: int = 0) -> Place:
    """In an array that has a row for each thing of the sort."""
    return lambda _, __, place: (how, place, column, 0)


def _over(how: int) -> Place:
    """Over all nodes of a thing."""
    return lambda nodes, name, _: (how, nodes.placed[name].first, nodes.placed[name].count, 1)


def _surface(nodes: Nodes, name: str, _: int) -> Row:
    at = nodes.placed[name].surfaces
    return (f.SEEN_NODE, at[0], 0, 0) if len(at) == 1 else (f.SEEN_AVERAGE, at[0], len(at), 1)


def _core(nodes: Nodes, name: str, _: int) -> Row:
    placed = nodes.placed[name]
    core = placed.first + placed.shells - 1
    if placed.parts == 1:
        return f.SEEN_NODE, core, 0, 0
    return f.SEEN_AVERAGE, core, placed.parts, placed.shells


def _difference(nodes: Nodes, name: str, _: int) -> Row:
    placed = nodes.placed[name]
    return f.SEEN_DIFFERENCE, placed.first + placed.count - 1, placed.surfaces[0], 0


SEEN: Mapping[q.Quantity, Place] = {
    q.BODY: _over(f.SEEN_MEAN),
    q.BODY_SURFACE: _surface,
    q.BODY_CORE: _core,
    q.CORE_LESS_SURFACE: _difference,
    q.SPREAD: _over(f.SEEN_SPREAD),
    q.LEFT_BEHIND: _over(f.SEEN_LEFT_BEHIND),
    q.HOTTEST: _over(f.SEEN_HOTTEST),
    q.COLDEST: _over(f.SEEN_COLDEST),
    q.PART: _over(f.SEEN_MEAN),
    q.PART_SURFACE: _surface,
    q.PART_CORE: _core,
    q.PART_DIFFERENCE: _difference,
    q.STREAM: _surface,
    q.AFTER_COIL: _of(f.SEEN_AFTER_COIL),
    q.FAN_FLOW: _of(f.SEEN_FAN_FLOW),
    q.OUTLET_TEMPERATURE: _of(f.SEEN_OWN, f.OUTLET_T),
    q.CIRCUIT_PRESSURE: _of(f.SEEN_OWN, f.P),
    q.WALL: _of(f.SEEN_OWN, f.WALL),
    q.WALL_COLDEST: _of(f.SEEN_OWN, f.COLDEST),
    q.WALL_HOTTEST: _of(f.SEEN_OWN, f.HOTTEST),
    q.WATER_FLOW: _of(f.SEEN_OWN, f.WATER_FLOW),
    q.AIR_FLOW: _of(f.SEEN_OWN, f.AIR_FLOW),
    q.STEAM_FLOW: _of(f.SEEN_OWN, f.STEAM_FLOW),
    q.WATER_HELD: _of(f.SEEN_OWN, f.HELD),
    q.WALL_HEAT: _of(f.SEEN_OWN, f.HEAT),
    q.WALL_SHOCK: _of(f.SEEN_OWN, f.SHOCK),
    q.WATER_USED: _of(f.SEEN_BOOKS, f.WATER_IN),
    q.WALL_STRESS: _of(f.SEEN_STRESS, f.SHOCK),
    q.POSITION: _of(f.SEEN_POSITION),
    q.IS_OPEN: _of(f.SEEN_OPEN),
    q.IS_SHUT: _of(f.SEEN_SHUT),
    q.SUPPLY_PRESSURE: _of(f.SEEN_SUPPLY),
}


def seen(observed: Sequence[Observed], nodes: Nodes) -> Ints:
    """A row of `Constants.seen` for each observed quantity.

    Streams, circuits, valves and supplies stand in the plant's arrays in the order in which they are
    observed.
    """
    likes: dict[q.Owner, dict[str, int]] = {}
    for one in observed:
        like = likes.setdefault(one.quantity.of, {})
        like.setdefault(one.owner, len(like))
    rows = [SEEN[one.quantity](nodes, one.owner, likes[one.quantity.of][one.owner]) for one in observed]
    return np.array(rows, dtype=np.int64).reshape(-1, f.SEEN_FIELDS)
