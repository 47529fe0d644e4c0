"""What lies between supply and circuit: droop, friction, rise, and the hammer of a shared line, by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve
from scipy.optimize import brentq

from steadfall.constants import WATER, G
from steadfall.plan.model import Circuit, Line, Plan, Supply
from steadfall.plant import fields as f
from steadfall.plant.grid.lines import line_resistance
from steadfall.plant.law.valve import air_through
from tests.plant import plants
from tests.plant.plants import KV
from tests.plant.running import Run

COLD = 293.15
VALVES = (
    plants.valve("small", "water", 0.5),
    plants.valve("main", "water", 4.0, 0.5),
    plants.valve("air", "air", 2.0),
)


def cold(water: Supply | None = None, air: Supply | None = None, circuits: int = 1, **kind: object) -> Plan:
    """Cold platens, so that the supply alone is looked at."""
    plan = plants.platen(COLD, 1e6, valves=VALVES, **kind)
    names = ("upper", "lower")[:circuits]
    return evolve(
        plan,
        supplies={
            "water": water or Supply("water", "water", 5e5, 288.15),
            "air": air or Supply("air", "air", 6e5, 293.15),
        },
        bodies={**plan.bodies, "other": plants.body("other", 1e6, COLD)},
        circuits={
            name: Circuit(name, "kind", host) for name, host in zip(names, ("platen", "other"), strict=False)
        },
    )


def drop(flow: float, kv: float) -> float:
    """Pa by Kv: dp = (Q/Kv)^2 bar, Q in m3/s of water at 1000 kg/m3."""
    return (flow / 1000.0 / kv) ** 2 * 1e5


def straight(drop: float) -> float:
    """What is left of a drop by the law that is straight near zero: d^2/(d + 500 Pa)."""
    return drop * drop / (drop + 500.0)


def test_a_supply_without_resistance_costs_nothing() -> None:
    constants = Run(cold()).grid.constants
    assert (constants.header.shape[0], constants.header_valve.size, constants.loss_node.size) == (0, 0, 0)


@pytest.mark.parametrize("shared", [0.05, 1.0, 3.0, 50.0])
def test_one_valve_behind_a_resistance_is_exact(shared: float) -> None:
    """Water: both drops add up to what stands between supply and circuit."""
    run = Run(cold(Supply("water", "water", 5e5, 288.15, None, shared * KV))).go(120, "main")
    flow, p = run.see("upper.water_flow"), run.see("upper.pressure")
    assert drop(flow, shared * KV) + drop(flow, 4.0 * KV) == pytest.approx(straight(5e5 - p), rel=1e-4)
    assert run.closes()


def test_several_valves_share_by_one_header_pressure() -> None:
    """Two circuits, three open valves: the header from an independent root, each flow by its own Kv."""
    run = Run(cold(Supply("water", "water", 5e5, 288.15, None, 2.0 * KV), circuits=2, outlet=3.0))
    run.go(200, "upper.main", "lower.main", "upper.small")
    p = [run.see(f"{name}.pressure") for name in ("upper", "lower")]

    def flows(header: float) -> list[float]:
        drops = [max(header - each, 0.0) for each in p]
        return [1000 * kv * KV * math.sqrt(d * 1e-5) for kv, d in ((4.5, drops[0]), (4.0, drops[1]))]

    header = brentq(lambda h: 1000 * 2.0 * KV * math.sqrt((5e5 - h) * 1e-5) - sum(flows(h)), max(p), 5e5)
    for name, flow in zip(("upper", "lower"), flows(header), strict=True):
        assert run.see(f"{name}.water_flow") == pytest.approx(flow, rel=5e-3)
    alone = Run(cold(Supply("water", "water", 5e5, 288.15, None, 2.0 * KV), outlet=3.0)).go(200, "upper.main")
    assert run.see("lower.water_flow") < 0.8 * alone.see("upper.water_flow")
    assert run.closes(1e-9)


@pytest.mark.parametrize("outlet", [0.8, 8.0])
def test_air_expands_in_both_resistances(outlet: float) -> None:
    """Steady, free and choked: the same flow through the shared resistance and the valve by IEC 60534-2-1."""
    supply = Supply("air", "air", 6e5, 293.15, None, 1.5 * KV)
    run = Run(cold(air=supply, outlet=outlet)).go(200, "air")
    p = run.see("upper.pressure")
    header = brentq(
        lambda h: air_through(1.5 * KV, 6e5, 293.15, h) - air_through(2.0 * KV, h, 293.15, p),
        p + 1.0,
        6e5 - 1.0,
    )
    assert run.see("upper.air_flow") == pytest.approx(air_through(1.5 * KV, 6e5, 293.15, header), rel=3e-3)


def test_friction_of_a_line_by_hand() -> None:
    """14 m of 21.6 mm, f by Colebrook at Re 5e4 and 0.05 mm: Kv = A sqrt(2e5 d/(1000 f L))."""
    rough, re = 0.05 / 21.6, 5e4
    friction = brentq(
        lambda x: 1 / math.sqrt(x) + 2 * math.log10(rough / 3.7 + 2.51 / (re * math.sqrt(x))), 0.005, 0.1
    )
    area = math.pi * 0.0216**2 / 4
    kv = area * math.sqrt(2e5 * 0.0216 / (1000 * friction * 14.0))
    assert line_resistance(plants.line()) ** -0.5 == pytest.approx(kv, rel=0.01)
    plan = cold()
    kind = plan.circuit_types["kind"]
    piped = {**kind.valves, "main": evolve(kind.valves["main"], line=plants.line())}
    run = Run(evolve(plan, circuit_types={"kind": evolve(kind, valves=piped)})).go(120, "main")
    flow, p = run.see("upper.water_flow"), run.see("upper.pressure")
    assert drop(flow, kv) + drop(flow, 4.0 * KV) == pytest.approx(straight(5e5 - p), rel=5e-3)


@pytest.mark.parametrize("rise", [-8.0, 0.0, 12.0])
def test_water_that_is_lifted_loses_its_weight(rise: float) -> None:
    """Half of the rise in the shared line, half in the valve's own; friction of both next to nothing."""
    wide = Line(0.5, 0.5, 0.01, plants.STEEL.name, 17e5, rise / 2)
    plan = cold(Supply("water", "water", 5e5, 288.15, wide))
    kind = plan.circuit_types["kind"]
    lifted = {**kind.valves, "main": evolve(kind.valves["main"], line=wide)}
    run = Run(evolve(plan, circuit_types={"kind": evolve(kind, valves=lifted)})).go(120, "main")
    flow, p = run.see("upper.water_flow"), run.see("upper.pressure")
    assert drop(flow, 4.0 * KV) == pytest.approx(straight(5e5 - WATER * G * rise - p), rel=2e-3)


def test_no_water_comes_where_it_is_not_lifted_to() -> None:
    """60 m above a supply of 4 bar over atmosphere: none, never backwards, and it is said."""
    high = evolve(plants.line(), elevation=60.0)
    run = Run(cold(Supply("water", "water", 5e5, 288.15, high, 3 * KV))).go(60, "main", "small", "air")
    assert run.books().circuits["upper"].water_in == 0.0
    assert run.state.flags[0] & f.HELD_BACK
    assert max(run.books().errors.values()) < 1e-6  # of next to no heat


@pytest.mark.parametrize("shared", [1e-5, 0.02, 400.0])
def test_extreme_resistances_break_nothing(shared: float) -> None:
    """Hot metal, two circuits, all valves at once: finite, positive, closed, and no more than the shared Kv
    lets in.
    """
    supplies = (
        Supply("water", "water", 5e5, 288.15, None, shared * KV),
        Supply("air", "air", 6e5, 293.15, None, shared * KV),
    )
    plan = evolve(cold(*supplies, circuits=2), bodies={
        "platen": plants.body("platen", 50.0, 520.0), "other": plants.body("other", 500.0, 450.0)
    })  # fmt: skip
    run = Run(plan)
    for _ in range(10):
        run.go(1, "small", "air").go(2, "upper.main", "lower.small").go(1, "main", "small", "air").go(1)
    assert np.isfinite(run.state.cells).all()
    assert run.state.cells[:, :, [f.ML, f.MA, f.MV]].min() >= 0.0
    assert max(run.books().errors.values()) < 1e-7  # of little heat where next to nothing comes in
    drawn = sum(book.water_in for book in run.books().circuits.values())
    assert drawn <= 1000 * shared * KV * 2.0 * 50.0 * 1.01


def test_a_shared_line_stops_what_shuts_together() -> None:
    """Two valves told to shut in one step stop the sum; told one after the other, each its own."""
    together = Run(cold(circuits=2)).go(30, "main")
    flows = [together.see(f"{name}.water_flow") for name in ("upper", "lower")]
    together.go(1)
    at = [together.grid.valves.index(f"{name}.main") for name in ("upper", "lower")]
    for valve, flow in zip(at, flows, strict=True):
        assert together.state.closing[valve, f.C_FLOW] == pytest.approx(flow, rel=1e-3)
        assert together.state.closing[valve, f.C_ALL] == pytest.approx(sum(flows), rel=1e-3)
    apart = Run(cold(circuits=2)).go(30, "main").go(0.1, "upper.main").go(1)
    for valve in at:
        assert apart.state.closing[valve, f.C_ALL] == pytest.approx(
            apart.state.closing[valve, f.C_FLOW], rel=1e-9
        )
