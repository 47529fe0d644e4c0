"""Bodies in segments, against closed solutions: a fin, and two streams past each other through one wall."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve

from steadfall.plan.model import Circuit, Inner, Link, Order, Plan, Run, Segments, Supply
from steadfall.plant import fields as f
from steadfall.plant.grid.whole import lay_out
from steadfall.plant.kernel.heat import liquid_coefficient
from steadfall.plant.law.properties import C_L
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run as Going

HOUR = 3600.0


def cut(plan: Plan, body: str, segments: Segments | None, *runs: Run) -> Plan:
    """The plan with a body in segments, and one way for every circuit."""
    bodies = {**plan.bodies, body: evolve(plan.bodies[body], segments=segments)}
    kinds = {
        name: evolve(kind, path=evolve(kind.path, way=runs)) for name, kind in plan.circuit_types.items()
    }
    return evolve(plan, bodies=bodies, circuit_types=kinds)


def test_one_segment_is_laid_out_as_a_body_in_one_piece() -> None:
    """The same arrays in every digit, so the kernel cannot tell them apart."""
    whole = lay_out(plants.platen()).constants
    single = lay_out(cut(plants.platen(), "platen", Segments(1, 1.6, 0.06, 45.0))).constants
    for one, other in zip(whole, single, strict=True):
        np.testing.assert_array_equal(one, other)


def test_parts_that_conduct_very_well_are_a_lump() -> None:
    """With 10^6 W/K from part to part they cannot differ; the same heat leaves them."""
    lump = Going(plants.platen()).go(120.0, "main")
    parts = Going(cut(plants.platen(), "platen", Segments(4, 1.0, 1.0, 1e6))).go(120.0, "main")
    assert parts.see("platen.spread") < 0.05
    assert parts.see("platen") == pytest.approx(lump.see("platen"), abs=0.05)
    assert parts.closes()


@pytest.mark.parametrize("count", [10, 20])
def test_a_bar_cooled_at_its_end_is_a_fin(count: int) -> None:
    """Fin with an adiabatic tip: theta/theta_b = cosh(m (L - x))/cosh(m L), m = sqrt(h P/(k A)) (Incropera
    6e, table 3.4, case B). Its base is the middle of the part that water touches, its tip the far end.
    """
    length, section, k, around = 1.0, 4e-3, 45.0, 2.0
    base = plants.make(
        ambient=K0 + 80.0,
        supplies={"water": Supply("water", "water", 5e5, 288.15)},
        bodies={"bar": plants.body("bar", 3.0, K0 + 80.0)},
        links=(Link(("bar", "ambient"), around),),
        circuit_types={"kind": plants.circuit_type(valves=(plants.valve("main", "water", 4.0),))},
        circuits={"upper": Circuit("upper", "kind", "bar")},
    )
    plan = cut(base, "bar", Segments(count, length, section, k), Run((1,)))
    run = Going(plan, cells=5, dt=0.1).go(2.0 * HOUR, "main")
    middles = (np.arange(count) + 0.5) * length / count
    m = math.sqrt(around / length / (k * section))
    reach = length - middles[0]
    expected = np.cosh(m * (length - middles)) / math.cosh(m * reach)
    theta = run.state.nodes[:count] - plan.ambient
    assert theta[0] < -30.0
    np.testing.assert_allclose(theta / theta[0], expected, atol=0.004)


def past_each_other(order: Order) -> tuple[float, float]:
    """Effectiveness of two streams of water through one wall of 20 parts that do not conduct along it, and
    the number of transfer units.
    """
    kind = plants.circuit_type(
        passes=1, length=20.0, host=6000.0, valves=(plants.valve("main", "water", 0.25),), bends=0
    )
    warm = evolve(kind, valves={"main": evolve(kind.valves["main"], supply="warm")}, name="warm")
    ways = {"kind": Run(Order.OUT), "warm": Run(order)}
    kinds = {name: evolve(one, name=name) for name, one in (("kind", kind), ("warm", warm))}
    plan = plants.make(
        supplies={
            "water": Supply("water", "water", 5e5, K0 + 15.0),
            "warm": Supply("warm", "water", 5e5, K0 + 85.0),
        },
        bodies={"wall": plants.body("wall", 40.0, K0 + 50.0, segments=Segments(20, 20.0, 1e-4, 1e-3))},
        circuit_types={
            name: evolve(one, path=evolve(one.path, way=(ways[name],))) for name, one in kinds.items()
        },
        circuits={"cold": Circuit("cold", "kind", "wall"), "hot": Circuit("hot", "warm", "wall")},
    )
    run = Going(plan, cells=80, dt=0.05).go(HOUR, "main")
    cold, hot = (run.own(f.WATER_FLOW, c) * C_L for c in (0, 1))
    ends = [run.own(f.OUTLET_T, c) for c in (0, 1)]
    taken, given = cold * (ends[0] - K0 - 15.0), hot * (K0 + 85.0 - ends[1])
    assert taken == pytest.approx(given, rel=2e-3)
    grid = run.grid.constants
    ua = 1.0 / sum(_resistance(run, c) for c in (0, 1))
    least = min(cold, hot)
    assert grid.host_parts.tolist() == [20, 20]
    return taken / (least * 70.0), ua / least


def _resistance(run: Going, c: int) -> float:
    """K/W from the water of a circuit to its host: film, skin and shells, and the way to the host."""
    constants, cells = run.grid.constants, run.state.cells.shape[1]
    geo = constants.circuit[c]
    film = float(np.mean([cell_film(run, c, i) for i in range(cells)])) * geo[f.CELL_WALL] * cells
    metal = geo[f.R_SKIN] + float((1.0 / constants.shell_link[c]).sum()) + 1.0 / geo[f.G_HOST]
    return float(1.0 / film + metal / cells)


def cell_film(run: Going, c: int, i: int) -> float:
    """W/m2/K of the water in a cell, by Dittus and Boelter as the kernel has it."""
    bore = run.grid.constants.circuit[c, f.BORE]
    found: float = liquid_coefficient(run.state.cells[c], i, run.grid.constants.liquid, bore, bore**0.2)
    return found


def test_two_streams_past_each_other_have_the_effectiveness_of_exchangers() -> None:
    """Equal capacity flows: NTU/(1 + NTU) against each other, (1 - exp(-2 NTU))/2 side by side (Incropera 6e,
    table 11.3). The march is first order: 80 cells err by less than 1 %.
    """
    against, ntu = past_each_other(Order.BACK)
    assert 1.0 < ntu < 6.0
    assert against == pytest.approx(ntu / (1.0 + ntu), rel=0.02)
    beside, ntu = past_each_other(Order.OUT)
    assert beside == pytest.approx((1.0 - math.exp(-2.0 * ntu)) / 2.0, rel=0.02)
    assert against > 1.2 * beside


def test_the_ends_converge_with_the_number_of_segments() -> None:
    """Each doubling of the number of parts moves the spread by less than the doubling before."""
    spreads = []
    for count in (4, 8, 16, 32):
        plan = cut(plants.platen(mass=820.0, host=2900.0), "platen", Segments(count, 1.6, 0.06, 45.0))
        spreads.append(Going(plan, cells=32).go(90.0, "main").see("platen.spread"))
    steps = np.diff(spreads)
    assert 10.0 < spreads[0] < spreads[-1]
    assert np.all(steps[1:] < 0.7 * steps[:-1])


def test_an_inner_resistance_is_shared_by_the_parts() -> None:
    """A slab in three segments that all meet the same: each is the slab, in thirds."""
    inner = Inner("slab", 0.02, 0.5, 4, 1200.0)
    base = plants.make(
        bodies={"slab": plants.body("slab", 30.0, K0 + 150.0, 1900.0, inner=inner)},
        links=(Link(("slab", "ambient"), 60.0),),
    )
    parts = cut(base, "slab", Segments(3, 1.0, 0.02, 0.5))
    one, other = (Going(plan, dt=0.5).go(1800.0) for plan in (base, parts))
    assert other.see("slab") == pytest.approx(one.see("slab"), abs=1e-9)
    assert other.see("slab.surface") == pytest.approx(one.see("slab.surface"), abs=1e-9)
    assert other.see("slab.segment_2.difference") == pytest.approx(one.see("slab.difference"), abs=1e-9)


def test_a_part_that_no_circuit_touches_is_noted() -> None:
    plan = cut(plants.platen(), "platen", Segments(3, 1.0, 0.06, 45.0), Run((1, 2)))
    assert any("no circuit touches its segment 3" in note for note in lay_out(plan).notes)
