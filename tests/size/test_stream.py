"""What flows, against sums by hand."""

from __future__ import annotations

import math

import pytest
from attrs import evolve

from steadfall.plan.model import Plan
from steadfall.plant.grid.lines import line_resistance, shared_resistance, static_head
from steadfall.size.stream import alone, channel_kv, drawn, together


def test_water_by_resistances_in_series(press: Plan) -> None:
    """1/Kv^2 of meter, line, valve, channel and outlet add up; the drop is the supply less its rise.

    A prediction makes the law straight below 500 Pa, which takes 0.1 % here.
    """
    kind = press.circuit_types["platen_circuit"]
    valve, supply = kind.valves["flood"], press.supplies["works_water"]
    resistance = (
        shared_resistance(supply) + line_resistance(valve.line) + valve.kv**-2 + channel_kv(kind) ** -2
    )
    drop = supply.pressure - static_head(supply, valve) - kind.outlet.pressure
    found = alone(drawn(press, kind, valve))
    assert found.flow == pytest.approx(1000.0 * math.sqrt(drop * 1e-5 / resistance), rel=2e-3)
    assert found.before - found.after == pytest.approx(1e5 * (found.flow / 1000.0 / valve.kv) ** 2)
    assert found.after == pytest.approx(
        kind.outlet.pressure + 1e5 * (found.flow / 1000.0 / channel_kv(kind)) ** 2, rel=5e-3
    )


@pytest.mark.parametrize("name", ["flood", "sweep"])
def test_two_behind_a_narrow_main_get_less_each(press: Plan, name: str) -> None:
    kind = press.circuit_types["platen_circuit"]
    valve = kind.valves[name]
    narrow = evolve(press.supplies[valve.supply or ""], kv=valve.kv)
    one = drawn(press, kind, valve)
    flows = [together(narrow, [one] * n)[1] for n in (1, 2, 4)]
    each = [of[0] for of in flows]
    assert each[0] > 1.2 * each[1] > 1.2 * 1.2 * each[2]
    assert sum(flows[2]) > sum(flows[1]) > sum(flows[0])
    most = together(evolve(narrow, kv=None), [one])[1][0]
    assert sum(flows[2]) < 4 * most


def test_what_nobody_shares_never_falls(press: Plan) -> None:
    kind = press.circuit_types["platen_circuit"]
    supply = evolve(press.supplies["works_water"], kv=None)
    one = drawn(press, kind, kind.valves["flood"])
    at, flows = together(supply, [one] * 3)
    assert at == supply.pressure
    assert len(set(flows)) == 1


def test_a_supply_below_the_outlet_gives_nothing(press: Plan) -> None:
    kind = press.circuit_types["platen_circuit"]
    weak = evolve(press.supplies["works_air"], pressure=9e4)
    plan = evolve(press, supplies={**press.supplies, "works_air": weak})
    assert alone(drawn(plan, kind, kind.valves["sweep"])).flow == 0.0
