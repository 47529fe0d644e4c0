"""What a controller must keep while power is off: what is set on the panel, and counters.

Rule of this file: only what was read is judged. A setting must stand as it was set; a counter may have gone
on, and never back. What a controller must forget, the plan's logic says: it begins anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from steadfall.bench.judge.explain.amount import Amount, Range
from steadfall.bench.judge.finding import Finding, Said
from steadfall.bench.session.journal import Row
from steadfall.logic.build.panel.counters import MOST
from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.plan.model import Plan

KEPT = "{name} is kept while power is off."
LOST = "{sentence} It was {before:g} before, and {after:g} after."


def retained(plan: Plan, network: Network, rows: Sequence[Row]) -> tuple[Finding, ...]:
    """What is said of each, over every power cut of a recording."""
    lines = {name: item.at.own.line for name, item in plan.settings.items()}
    lines |= {name: item.at.own.line for name, item in plan.counters.items()}
    usual = {row.name: row.initial for row in network.inputs}
    found: dict[str, Finding] = {}
    for name, before, after in _cuts(rows, lines):
        sentence, about = KEPT.format(name=name), f"{name}.retained"
        lost = after < before if name in plan.counters else after != before
        if lost:
            why = LOST.format(sentence=sentence, before=before, after=after)
            found[about] = Finding(about, Said.FAIL, why, line=lines[name])
        elif found.get(about) is None or found[about].said is Said.NOT_EXERCISED:
            said = Said.NOT_EXERCISED if before == usual.get(name, 0.0) else Said.PASS
            found[about] = Finding(about, said, sentence, line=lines[name])
    return tuple(found.values())


def _cuts(rows: Sequence[Row], names: Mapping[str, int]) -> Iterator[tuple[str, Value, Value]]:
    """Each of these as it was read last before a cut, and first after it."""
    now: dict[str, Value] = {}
    for row in rows:
        shown = {name: value for part in (*row.reads, *row.writes) for name, value in part.values.items()}
        if row.power:
            yield from ((name, now[name], shown[name]) for name in names if name in now and name in shown)
        now |= shown


def as_read(network: Network, row: Row) -> dict[str, Amount]:
    """What a controller has kept as a recording begins: as it was read, else anything that may be counted."""
    kept = {one.name for one in network.assignments if one.retained and one.type is Type.REAL}
    shown = {name: value for part in row.reads for name, value in part.values.items()}
    return {name: shown.get(name, Range(0.0, MOST)) for name in kept}
