"""Rows of a main valve: what it takes of its supply's pressure, and what its closing does to the line."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import MainValve, Plan, Supply
from steadfall.quantities import FLOW, KV, PRESSURE
from steadfall.size import iec
from steadfall.size.fluid import air, water
from steadfall.size.row import Check, Row, Standing, at_least, said, would_be
from steadfall.size.rows.lines import surge
from steadfall.size.series import next_kv
from steadfall.size.shared import mains_of

SHARE = 0.1  # of a supply's gauge pressure that a main valve may take (our choice)


def main_rows(plan: Plan, supply: Supply, flow: float) -> Iterator[Row]:
    """Of each main valve its Kv under the flow of all together (kg/s), and what its closing does."""
    for main in mains_of(plan, supply.name):
        yield _kv(main, supply, flow)
        if supply.line is not None and supply.fluid == "water":
            made = surge(plan, main.name, supply.line, supply, (flow, main.travel))
            yield evolve(made, mark=main.at.own)


def _kv(main: MainValve, supply: Supply, flow: float) -> Row:
    """The drop that a main valve takes of the supply, and the Kv with which it would take a tenth of it."""
    before, t = supply.pressure, supply.temperature
    after = before - SHARE * (before - ATMOSPHERE)
    if supply.fluid == "water":
        liquid = water(t)
        asked = iec.for_liquid(flow / liquid.density, before, after, liquid)
    else:
        asked = iec.for_gas(flow, before, after, air(t))
    tenth = " with all open; this Kv takes a tenth of the supply's "
    words = said((FLOW, flow), tenth, (PRESSURE, before), " for itself, which is as much as it should")
    row = at_least(main.name, Check.KV, asked.kv, main.kv, KV, reason=words, mark=main.at.of("kv"))
    row = evolve(row, would=would_be(next_kv(asked.kv)))
    return evolve(row, standing=Standing.TIGHT) if row.standing is Standing.SHORT else row
