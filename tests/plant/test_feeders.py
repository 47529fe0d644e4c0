"""Main valves, pumps and outlet valves in the plant: in series with what they feed, felt by all behind."""

import math
from typing import Any

import pytest
from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import MainValve, Plan, Pump, Supply
from steadfall.plant import fields as f
from tests.plant import plants
from tests.plant.plants import KV
from tests.plant.running import Run
from tests.plant.test_lines import cold

BOTH = ("upper.water_flow", "lower.water_flow")


def with_main(kv: float, water: Supply | None = None) -> Plan:
    main = MainValve("water_main", "water", kv * KV, 2.0)
    return evolve(cold(water, circuits=2), main_valves={"water_main": main})


def flows(run: Run) -> list[float]:
    return [run.see(name) for name in BOTH]


def test_an_open_main_valve_is_a_resistance_in_series() -> None:
    """1/Kv^2 adds up: a main of 3 behind a shared 4 is a shared 2.4 m3/h."""
    shared = Supply("water", "water", 5e5, 288.15, None, 4 * KV)
    behind = Run(with_main(3.0, water=shared)).go(4, "water_main").go(30, "main", "water_main")
    alone = Supply("water", "water", 5e5, 288.15, None, 2.4 * KV)
    plain = Run(cold(water=alone, circuits=2)).go(4).go(30, "main")
    assert flows(behind) == pytest.approx(flows(plain), rel=1e-9)
    assert behind.closes()


def test_a_main_valve_that_shuts_is_felt_by_every_circuit_behind_it() -> None:
    run = Run(with_main(3.0)).go(4, "water_main").go(30, "main", "water_main")
    full = flows(run)
    assert min(full) > 0.1
    run.go(1, "main")  # half way of its 2 s
    assert run.see("water_main.position") == pytest.approx(0.5)
    half = flows(run)
    assert all(0.0 < now < before for now, before in zip(half, full, strict=True))
    run.go(2, "main")
    assert flows(run) == [0.0, 0.0]
    assert run.closes()


def test_a_main_valve_stops_all_that_is_drawn_through_it() -> None:
    """And what shuts with it in the same scan, as on a trip, is not counted twice."""
    together = Run(with_main(3.0)).go(4, "water_main").go(30, "main", "water_main")
    total = sum(flows(together))
    together.go(1)
    rows = together.grid.valves.index("water_main"), together.grid.valves.index("upper.main")
    for row in rows:
        assert together.state.closing[row, f.C_ALL] == pytest.approx(total, rel=1e-3)
    assert together.state.closing[rows[0], f.C_FLOW] == pytest.approx(total, rel=1e-3)


def test_air_does_not_hang_on_a_main_valve_in_water() -> None:
    run, plain = Run(with_main(3.0)).go(10, "air"), Run(cold(circuits=2)).go(10, "air")
    assert run.see("upper.air_flow") == plain.see("upper.air_flow") > 0.0


@pytest.mark.parametrize(("seconds", "share"), [(0.0, 0.0), (1.5, 0.5), (3.0, 1.0), (9.0, 1.0)])
def test_a_supply_has_the_pressure_that_its_pump_makes(seconds: float, share: float) -> None:
    """From standstill to speed in 3 s, in a straight line: as a supply of that pressure."""
    still, full = ATMOSPHERE + 0.5e5, 5e5
    pumped = evolve(cold(circuits=2), pumps={"booster": Pump("booster", "water", 3.0, still)})
    run = Run(pumped).go(seconds, "booster")
    at = evolve(cold(circuits=2), pumps={})
    supply = evolve(at.supplies["water"], pressure=still + share * (full - still))
    plain = Run(evolve(at, supplies={**at.supplies, "water": supply})).go(seconds)
    frozen_at = run.grid.constants.valves
    frozen_at[run.grid.valves.index("booster"), f.V_TRAVEL] = math.inf  # it stays as it is
    run.go(20, "main", "booster")
    plain.go(20, "main")
    assert flows(run) == pytest.approx(flows(plain), rel=1e-9)


def test_a_valve_in_the_outlet_is_in_series_with_it_and_shuts_it() -> None:
    plan = cold()
    kind = plan.circuit_types["kind"]
    lies = evolve(plants.valve("way_out", None, 3.0, 0.1), opens="outlet")
    valves = {**kind.valves, "way_out": lies}
    outlet = evolve(kind.outlet, kv=4 * KV)

    def of(**changed: Any) -> Plan:
        return evolve(plan, circuit_types={"kind": evolve(kind, **changed)})

    run = Run(of(valves=valves, outlet=outlet)).go(1, "way_out").go(30, "main", "way_out")
    plain = Run(of(outlet=evolve(outlet, kv=2.4 * KV))).go(1).go(30, "main")
    assert run.see("upper.water_flow") == pytest.approx(plain.see("upper.water_flow"), rel=1e-6)
    run.go(60, "main")
    assert run.see("upper.way_out.position") == 0.0
    assert run.see("upper.water_flow") < 0.02 * plain.see("upper.water_flow")
    assert run.see("upper.pressure") > 0.99 * plan.supplies["water"].pressure
    assert run.closes()
