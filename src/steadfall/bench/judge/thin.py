"""A recording without the measured values that tell the logic nothing: most of them cross no threshold.

Rule of this file: a value is left out only where everything that inputs alone decide in the logic stays as it
was. What was left out comes with the next value that tells something, so that nothing is ever out of date.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve

from steadfall.bench.judge.explain.decided import Decided
from steadfall.bench.session.journal import Row, Span
from steadfall.logic.network import Network
from steadfall.logic.nodes import Value


def thinned(network: Network, rows: Sequence[Row]) -> list[Row]:
    """The same recording, for this logic: what is written counts where it tells something."""
    decided, found = Decided(network), list[Row]()
    inputs: dict[str, Value] = {}
    pending: dict[str, Value] = {}
    last: tuple[Value, ...] | None = None
    for at, row in enumerate(rows):
        parts: list[Span] = []
        for part in row.writes:
            mine = {name: value for name, value in part.values.items() if name in network.given}
            if not mine:
                parts.append(evolve(part, values={}))
                continue
            inputs |= mine
            pending |= mine
            now = decided.of(inputs)
            if at and not row.power and now == last:
                parts.append(evolve(part, values={}))
                continue
            parts.append(evolve(part, values=pending))
            pending, last = {}, now
        found.append(evolve(row, writes=tuple(parts)))
    return found
