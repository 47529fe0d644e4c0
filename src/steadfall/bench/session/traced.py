"""A recording as signals over time: what was read and written, each from the end of its request on."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np

from steadfall.bench.session.journal import Row
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type
from steadfall.plan.model import Plan
from steadfall.roles import Role
from steadfall.trace.trace import KINDS, Trace, Track

_KIND: dict[type, Type] = {bool: Type.BOOL, int: Type.INT, float: Type.REAL}


def signals_shown(plan: Plan) -> list[str]:
    """What is drawn and kept as samples: inputs, outputs, stages."""
    network = build(plan)
    given = [row.name for row in network.inputs if row.name in plan.inputs]
    return [*given, *network.outputs, *network.named(Role.STAGE)]


def traced(rows: Sequence[Row], names: Collection[str]) -> Trace:
    """Some signals of a recording; a measured value is in the controller's unit, as it was handed."""
    found: dict[str, list[tuple[int, Any]]] = {}
    for row in rows:
        for part in (*row.reads, *row.writes):
            for name in part.values.keys() & names:
                found.setdefault(name, []).append((round(part.end), part.values[name]))
    tracks = {name: _track(name, found[name]) for name in names if name in found}
    ends = [int(one.times_ms[-1]) for one in tracks.values()]
    return Trace(tracks, max([0, *ends, *(round(row.reads[-1].end) for row in rows[-1:])]))


def _track(name: str, seen: Sequence[tuple[int, Any]]) -> Track:
    times = np.array([at for at, _ in seen], dtype=np.int64)
    kind = _KIND[type(seen[0][1])]
    return Track(name, KINDS[kind], "", times, np.array([value for _, value in seen]))
