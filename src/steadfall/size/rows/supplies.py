"""Rows of a supply: what it still gives when the valves of several circuits open together, its pressure, its
line.

Rule of this file: of each circuit the valve with the largest Kv on the supply counts; that doses take turns
is not relied on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from attrs import evolve, frozen

from steadfall.plan.model import Supply
from steadfall.quantities import FLOW, FREE_AIR, PRESSURE
from steadfall.size.fluid import free_air
from steadfall.size.row import ROOM, Check, Row, Standing, Would, at_least, at_most, said
from steadfall.size.rows.lines import speed, surge
from steadfall.size.rows.mains import main_rows
from steadfall.size.series import kvs_from
from steadfall.size.shared import narrowest, parts
from steadfall.size.stream import Drawn, shared_kv, together
from steadfall.size.works import Inlet, Works

LEFT = 0.75  # of what each valve takes alone, that it should still get (our choice)


@frozen
class Sharing:
    """What a supply gives one valve in each of so many circuits, kg/s: the first alone, then together."""

    supply: str
    shared: bool  # whether its valves share any resistance
    at: tuple[float, ...]  # Pa where lines branch off
    flows: tuple[float, ...]  # kg/s in all

    @property
    def kept(self) -> tuple[float, ...]:
        """The mean share of what it takes alone that each still gets, by how many are open."""
        return tuple(flow / (n * self.flows[0]) for n, flow in enumerate(self.flows, 1))


def sharings(found: Works) -> Mapping[str, Sharing]:
    """Every supply that is drawn from."""
    return {name: made for name, supply in found.plan.supplies.items() if (made := _sharing(found, supply))}


def _largest(found: Works, supply: Supply) -> list[Inlet]:
    """The largest valve on a supply, of each circuit."""
    of_each: dict[str, Inlet] = {}
    for one in found.inlets:
        if one.drawn.supply.name == supply.name:
            for circuit in one.circuits:
                before = of_each.get(circuit)
                if before is None or one.drawn.valve.kv > before.drawn.valve.kv:
                    of_each[circuit] = one
    return sorted(of_each.values(), key=lambda one: -one.drawn.valve.kv)


def _sharing(found: Works, supply: Supply) -> Sharing | None:
    open_ = [one.drawn for one in _largest(found, supply)]
    steps = [together(supply, open_[:n]) for n in range(1, len(open_) + 1)]
    flows = tuple(sum(each) for _, each in steps)
    if not flows or flows[0] <= 0.0:
        return None
    return Sharing(supply.name, shared_kv(supply) < float("inf"), tuple(at for at, _ in steps), flows)


def supply_rows(found: Works, sharing: Sharing) -> Iterator[Row]:
    """Every row of a supply."""
    supply = found.plan.supplies[sharing.supply]
    largest = _largest(found, supply)
    yield _together(found, supply, sharing, [one.drawn for one in largest])
    yield from _rating(found, supply)
    if supply.line is not None:
        about, flow = f"{supply.name}.line", sharing.flows[-1]
        yield speed(about, supply.line, supply, flow, sharing.at[-1])
        if supply.fluid == "water":
            fastest = min(one.drawn.valve.travel for one in largest)
            yield surge(found.plan, about, supply.line, supply, (flow, fastest))
    yield from main_rows(found.given, supply, [one.drawn for one in largest])


def _together(found: Works, supply: Supply, sharing: Sharing, open_: list[Drawn]) -> Row:
    """What all get together, against three quarters of what they take alone."""
    asked, given = _asked_and_given(supply, open_)
    if len(open_) > 1:
        words = said(
            *(f"{len(open_)} valves open leave ", (PRESSURE, sharing.at[-1])),
            " where their lines branch off; "
            f"each gets {100 * LEFT * given / asked:.0f} % of what it takes alone "
            f"({100 * LEFT:.0f} % are asked)",
        )
    else:
        words = said("one circuit alone draws on it")
    if not sharing.shared:
        words = words.also("; the plan gives it no resistance, so that it never falls")
    if supply.fluid == "air":
        words = words.also("; ", (FREE_AIR, free_air(given)), " of free air delivered (1 bar, 20 °C)")
    row = at_least(supply.name, Check.TOGETHER, asked, given, FLOW, reason=words, mark=supply.at.own)
    shared = parts(found.given, found.given.supplies[supply.name])
    if row.standing is Standing.OK or not shared:
        return row
    least = narrowest(shared)
    why = words.also(f"; narrowest is {least.name}")
    return evolve(row, reason=why, would=_larger(supply, open_, least.kv))


def _asked_and_given(supply: Supply, open_: list[Drawn]) -> tuple[float, float]:
    alone = sum(together(supply, (one,))[1][0] for one in open_)
    return LEFT * alone, sum(together(supply, open_)[1])


def _larger(supply: Supply, open_: list[Drawn], kv: float) -> Would | None:
    """The next Kv of what is narrowest with which there is enough; none where the rest takes too much."""
    rest = (supply.kv or kv) ** -2 - kv**-2
    for step in kvs_from(kv * 1.001):
        asked, given = _asked_and_given(evolve(supply, kv=(rest + step**-2) ** -0.5), open_)
        if given >= ROOM * asked:
            return Would(step)
    return None


def _rating(found: Works, supply: Supply) -> Iterator[Row]:
    """A shut or blocked outlet lets the supply's pressure stand in a circuit."""
    kinds = [one.drawn.kind for one in found.inlets if one.drawn.supply.name == supply.name]
    weakest = min(kinds, key=lambda kind: kind.rated)
    kind = weakest.name.replace("_", " ")
    words = f"what stands in a circuit ({kind}) whose outlet is blocked, against what that is rated for"
    row = at_most(
        supply.name, Check.RATING, weakest.rated, supply.pressure, PRESSURE, reason=words, mark=supply.at.own
    )
    yield evolve(row, mark=supply.at.of("pressure"))
