"""Rows of a main valve: what it takes of its supply's pressure, and what its closing does to the line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import MainValve, Plan, Supply
from steadfall.quantities import FLOW, KV, PRESSURE
from steadfall.size import iec
from steadfall.size.fluid import air, water
from steadfall.size.row import ROOM, Check, Row, Standing, Would, at_least, said
from steadfall.size.rows.lines import surge
from steadfall.size.series import kvs_from
from steadfall.size.shared import mains_of
from steadfall.size.stream import Drawn, together

SHARE = 0.1  # of a supply's gauge pressure that a main valve may take (our choice)


def main_rows(plan: Plan, supply: Supply, open_: Sequence[Drawn]) -> Iterator[Row]:
    """Of each main valve its Kv while all these draw together, and what its closing does."""
    flow = _flow(supply, open_)
    for main in mains_of(plan, supply.name):
        yield _kv(main, supply, open_)
        if supply.line is not None and supply.fluid == "water":
            made = surge(plan, main.name, supply.line, supply, (flow, main.travel))
            yield evolve(made, mark=main.at.own)


def _flow(supply: Supply, open_: Sequence[Drawn]) -> float:
    """kg/s that all these draw together."""
    return sum(together(supply, open_)[1])


def _kv(main: MainValve, supply: Supply, open_: Sequence[Drawn]) -> Row:
    """The drop that a main valve takes of the supply, and the Kv with which it would take a tenth of it."""
    flow = _flow(supply, open_)
    tenth = " with all open; this Kv takes a tenth of the supply's "
    words = said(
        (FLOW, flow), tenth, (PRESSURE, supply.pressure), " for itself, which is as much as it should"
    )
    asked = _asked(supply, flow)
    row = at_least(main.name, Check.KV, asked, main.kv, KV, reason=words, mark=main.at.of("kv"))
    row = evolve(row, would=_would(main, supply, open_))
    return evolve(row, standing=Standing.TIGHT) if row.standing is Standing.SHORT else row


def _asked(supply: Supply, flow: float) -> float:
    """The Kv with which a flow (kg/s) takes a tenth of a supply's pressure."""
    before, t = supply.pressure, supply.temperature
    after = before - SHARE * (before - ATMOSPHERE)
    if supply.fluid == "water":
        liquid = water(t)
        return iec.for_liquid(flow / liquid.density, before, after, liquid).kv
    return iec.for_gas(flow, before, after, air(t)).kv


def _would(main: MainValve, supply: Supply, open_: Sequence[Drawn]) -> Would | None:
    """The next Kv that would be ok, though more is drawn through a wider one."""
    rest = (supply.kv or main.kv) ** -2 - main.kv**-2
    for step in kvs_from(ROOM * _asked(supply, _flow(supply, open_))):
        if step >= ROOM * _asked(supply, _flow(evolve(supply, kv=(rest + step**-2) ** -0.5), open_)):
            return Would(step)
    return None
