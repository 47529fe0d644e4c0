"""Every check, as it stands in the press and when a number of the plan is made too small."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import pytest
from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import MainValve, Plan
from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import US
from steadfall.report.page.sizes import sizes_page
from steadfall.report.text.sizes import sizes_text
from steadfall.report.words.sizes import batch_head, dose_head, heat_head
from steadfall.size.fluid import free_air
from steadfall.size.row import Check, Row, Standing
from steadfall.size.sizes import Sizes, batches
from steadfall.size.whole import size

KIND = "platen_circuit"


@pytest.fixture(scope="session")
def sizes(press: Plan, batch: Prediction) -> Sizes:
    return size(press, batch)


def row(found: Sizes, about: str, check: Check) -> Row:
    return next(one for one in found.rows if (one.about, one.check) == (about, check))


def test_every_part_of_the_plan_has_its_rows(press: Plan, sizes: Sizes) -> None:
    kind = press.circuit_types[KIND]
    parts = {f"{KIND}.{name}" for name in (*kind.valves, "outlet", "relief", "flood.line")}
    assert {one.about for one in sizes.rows} == {*press.supplies, *parts}
    assert {one.check for one in sizes.rows} == set(Check) - {
        Check.RELIEF_WATER,
        Check.RELIEF_AIR,
    }  # none is above


def test_the_press_is_tight_where_hot_water_chokes(sizes: Sizes) -> None:
    """Water of 70 degC from 4 barg to hardly any back-pressure: beyond F_L^2 (p1 - F_F p_v)."""
    tight = {(one.about, one.check) for one in sizes.rows if one.standing is not Standing.OK}
    assert tight == {(f"{KIND}.mist", Check.KV), (f"{KIND}.mist", Check.CAVITATION)}
    assert sizes.good


def test_in_us_units_nothing_but_a_kv_and_the_state_of_free_air_is_metric(sizes: Sizes) -> None:
    """Of the sentences too; what the plan says (a goal) stays as it is written."""
    read = evolve(sizes, units=US)
    page, _, _ = sizes_page(read).partition('<section id="plan"')
    shown = page + sizes_text(read)
    shown = shown[shown.index("<body") :].replace("(1 bar, 20 °C)", "").replace("at 1 bar and 20 °C", "")
    metric = r"barg|bar|kg/min|kg|g|°C|kW|kJ/kg|MJ|m/s|MPa|l|m|m³|m³/min"
    assert re.findall(rf"\d (?:{metric})\b(?!/)", shown) == []
    assert re.search(r"\d psig\b", shown)
    heads = {word for head in (batch_head(read), heat_head(read), dose_head(read)) for word in head}
    assert {"water lb", "host °F", "heat kBtu/h", "oz", "free air ft³"} <= heads
    assert read.as_json() == sizes.as_json()


def changed(plan: Plan, **of_kind: Any) -> Plan:
    """The press with its circuit type changed."""
    return evolve(plan, circuit_types={KIND: evolve(plan.circuit_types[KIND], **of_kind)})


def valve(plan: Plan, name: str, **what: Any) -> Plan:
    valves = plan.circuit_types[KIND].valves
    return changed(plan, valves={**valves, name: evolve(valves[name], **what)})


def line(plan: Plan, **what: Any) -> Plan:
    own = plan.circuit_types[KIND].valves["flood"].line
    assert own is not None
    return valve(plan, "flood", line=evolve(own, **what))


def supply(plan: Plan, name: str, **what: Any) -> Plan:
    return evolve(plan, supplies={**plan.supplies, name: evolve(plan.supplies[name], **what)})


def relief(plan: Plan, **what: Any) -> Plan:
    own = plan.circuit_types[KIND].relief
    assert own is not None
    return changed(plan, relief=evolve(own, **what))


def outlet(plan: Plan, kv: float) -> Plan:
    return changed(plan, outlet=evolve(plan.circuit_types[KIND].outlet, kv=kv / 3600))


def hotter(plan: Plan) -> Plan:
    hot = {name: evolve(body, start=body.start + 150.0) for name, body in plan.bodies.items()}
    return evolve(plan, bodies=hot)


WORSE: list[tuple[str, Check, Callable[[Plan], Plan]]] = [
    ("works_water", Check.TOGETHER, lambda p: supply(p, "works_water", kv=0.8 / 3600)),
    ("works_water", Check.RATING, lambda p: supply(p, "works_water", pressure=13e5)),
    (f"{KIND}.flood", Check.FLOW, lambda p: valve(p, "flood", kv=0.05 / 3600)),
    (f"{KIND}.flood", Check.FLOW, lambda p: supply(p, "works_water", temperature=345.0)),
    (f"{KIND}.mist", Check.CAVITATION, lambda p: supply(p, "return_water", temperature=388.0)),
    (f"{KIND}.sweep", Check.SWEEP, lambda p: valve(p, "sweep", kv=0.1 / 3600)),
    (f"{KIND}.mist", Check.OPENING, lambda p: valve(p, "mist", travel=0.5)),
    (f"{KIND}.mist", Check.OPENING, lambda p: evolve(p, scan=evolve(p.scan, longest_ms=100))),
    (f"{KIND}.flood", Check.PAUSE, lambda p: valve(p, "flood", shortest_shut_ms=20_000)),
    (f"{KIND}.mist", Check.LIFE, lambda p: valve(p, "mist", life=50_000)),
    (f"{KIND}.flood.line", Check.SPEED, lambda p: line(p, bore=0.012)),
    (f"{KIND}.flood.line", Check.SURGE, lambda p: valve(p, "flood", travel=0.01)),
    (f"{KIND}.outlet", Check.STEAM_OUT, lambda p: outlet(p, 0.5)),
    (f"{KIND}.outlet", Check.WATER_OUT, lambda p: evolve(p, limits=(pressure_limit(p),))),
    (f"{KIND}.relief", Check.RELIEF, lambda p: relief(hotter(p), kv=0.5 / 3600)),
    (
        f"{KIND}.drain",
        Check.EMPTYING,
        lambda p: changed(p, path=evolve(p.circuit_types[KIND].path, length=200.0)),
    ),
]


def pressure_limit(plan: Plan) -> Any:
    """The press's limit on a pressure, much lower."""
    own = next(limit for limit in plan.limits if limit.of == "upper.pressure")
    return evolve(own, value=1.2e5)


@pytest.mark.parametrize(("about", "check", "worse"), WORSE, ids=[f"{one[0]}: {one[1]}" for one in WORSE])
def test_what_is_made_too_small_is_short(
    press: Plan, batch: Prediction, sizes: Sizes, about: str, check: Check, worse: Callable[[Plan], Plan]
) -> None:
    before, after = row(sizes, about, check), row(size(worse(press), batch), about, check)
    assert before.standing is not Standing.SHORT
    assert after.standing is Standing.SHORT
    assert after.margin < 1.0
    assert after.reason.text()


RESIZED: list[tuple[str, Check, Callable[[Plan, float], Plan]]] = [
    ("works_water", Check.TOGETHER, lambda p, kv: supply(p, "works_water", kv=kv)),
    (f"{KIND}.flood", Check.FLOW, lambda p, kv: valve(p, "flood", kv=kv)),
    (f"{KIND}.sweep", Check.SWEEP, lambda p, kv: valve(p, "sweep", kv=kv)),
    (f"{KIND}.outlet", Check.STEAM_OUT, lambda p, kv: outlet(p, 3600 * kv)),
    (f"{KIND}.relief", Check.RELIEF, lambda p, kv: relief(hotter(p), kv=kv)),
]


@pytest.mark.parametrize(("about", "check", "put"), RESIZED, ids=[one[1] for one in RESIZED])
def test_what_would_do_does(
    press: Plan, batch: Prediction, about: str, check: Check, put: Callable[[Plan, float], Plan]
) -> None:
    """Far too small, then the size that is named instead."""
    small = row(size(put(press, 0.04 / 3600), batch), about, check)
    assert small.standing is Standing.SHORT
    assert small.would is not None
    assert small.would.kv is not None
    assert row(size(put(press, small.would.kv), batch), about, check).standing is Standing.OK


def test_a_line_of_the_dn_that_would_do_is_slow_enough(press: Plan, batch: Prediction) -> None:
    def speed(bore: float) -> Row:
        return row(size(line(press, bore=bore), batch), f"{KIND}.flood.line", Check.SPEED)

    would = speed(0.012).would
    assert would is not None
    assert would.dn is not None
    assert speed(would.dn / 1000).standing is Standing.OK


def behind_a_main(plan: Plan, kv: float, travel: float = 2.0) -> Plan:
    """The press with a main valve of so many m3/h in its water, behind 30 m of pipe."""
    pipe = plan.circuit_types[KIND].valves["flood"].line
    assert pipe is not None
    piped = supply(plan, "works_water", line=evolve(pipe, length=30.0, bore=0.041, elevation=0.0))
    return evolve(
        piped, main_valves={"water_main": MainValve("water_main", "works_water", kv / 3600, travel)}
    )


def test_a_main_valve_is_shared_by_all(press: Plan, batch: Prediction) -> None:
    wide, narrow = (size(behind_a_main(press, kv), batch) for kv in (16.0, 1.0))
    assert row(wide, "water_main", Check.KV).standing is Standing.OK
    assert row(narrow, "water_main", Check.KV).standing is Standing.TIGHT
    together = row(narrow, "works_water", Check.TOGETHER)
    assert together.standing is Standing.SHORT
    assert "narrowest is water_main" in together.reason.text()
    assert together.would is not None
    assert together.would.kv is not None
    mended = size(behind_a_main(press, 3600 * together.would.kv), batch)
    assert row(mended, "works_water", Check.TOGETHER).standing is Standing.OK
    for found in (wide, narrow):  # a wider one lets more through, and has to be ok with that
        would = row(found, "water_main", Check.KV).would
        assert would is not None
        assert would.kv is not None
        bought = size(behind_a_main(press, 3600 * would.kv), batch)
        assert row(bought, "water_main", Check.KV).standing is Standing.OK


def test_a_main_valve_that_shuts_fast_hammers_its_line(press: Plan, batch: Prediction) -> None:
    slow, fast = (size(behind_a_main(press, 16.0, travel), batch) for travel in (2.0, 0.005))
    assert row(slow, "water_main", Check.SURGE).standing is Standing.OK
    assert row(fast, "water_main", Check.SURGE).given > 2 * row(slow, "water_main", Check.SURGE).given


def test_a_batch_and_the_lives_of_valves(batch: Prediction, sizes: Sizes) -> None:
    mist = next(use for use in batch.valves if use.valve == "upper.mist")
    assert batches(mist) == pytest.approx(1_000_000 / mist.openings)
    assert batches(next(use for use in batch.valves if use.valve == "upper.sweep")) is None
    told = sizes.as_json()["batch"]["circuits"][0]
    assert told["free_air_m3"] == pytest.approx(free_air(told["air_kg"]))
    assert free_air(1.189) == pytest.approx(1.0, rel=1e-3)  # 1 bar / (287.05 J/kg/K 293.15 K) = 1.1884 kg/m3


def test_words_hold_every_row_and_fit_the_width(sizes: Sizes) -> None:
    text = sizes_text(sizes, 100)
    assert max(map(len, text.splitlines())) <= 100
    page = sizes_page(sizes, dated="2026-01-01")
    for one in sizes.rows:
        assert one.check.value in text
        assert f"line {one.mark.line}" in page
    assert "licensed practice" in text
    assert "Nothing is short; 2 of 24 are tight." in text
    assert page.count("<svg") == 2


def test_a_plan_whose_goal_no_water_reaches_says_so(press: Plan, batch: Prediction) -> None:
    found = size(supply(press, "works_water", temperature=345.0), batch)
    assert not found.good
    assert "never enough" in sizes_text(found)
    assert (
        row(found, f"{KIND}.flood", Check.FLOW).mark.line
        == press.circuit_types[KIND].valves["flood"].at.own.line
    )


def test_a_supply_that_gives_nothing_is_short(press: Plan, batch: Prediction) -> None:
    """Its pressure is below the outlet's: the goal asks for water, and none comes."""
    found = row(size(supply(press, "works_water", pressure=9e4), batch), f"{KIND}.flood", Check.FLOW)
    assert (found.given, found.standing) == (0.0, Standing.SHORT)
    assert found.asked > 0.0


def test_water_that_is_steam_before_its_valve_is_short(press: Plan, batch: Prediction) -> None:
    """170 degC at 4 barg: it boils there at 152 degC."""
    found = size(supply(press, "return_water", temperature=443.15), batch)
    cavitation = row(found, f"{KIND}.mist", Check.CAVITATION)
    assert (cavitation.asked, cavitation.standing) == (0.0, Standing.SHORT)
    assert "flashes" in cavitation.reason.text()
    assert row(found, f"{KIND}.mist", Check.KV).standing is Standing.TIGHT
    assert "never enough" in sizes_text(found)


def test_a_relief_valve_without_room_passes_nothing(press: Plan, batch: Prediction) -> None:
    found = row(size(relief(hotter(press), opens_at=ATMOSPHERE), batch), f"{KIND}.relief", Check.RELIEF)
    assert (found.given, found.standing, found.would) == (0.0, Standing.SHORT, None)


def test_a_supply_above_the_relief_valve_is_let_out_too(press: Plan, batch: Prediction) -> None:
    """13 barg behind the flood valve, 8.8 barg at full lift; the mist's supply stands below."""
    strong = supply(press, "works_water", pressure=14e5)
    found = row(size(strong, batch), f"{KIND}.relief", Check.RELIEF_WATER)
    lifted = ATMOSPHERE + 8.8e5
    flood = strong.circuit_types[KIND].valves["flood"]
    at_most = 1000.0 * flood.kv * ((14e5 - lifted) * 1e-5) ** 0.5
    assert 0.9 * at_most < found.asked < at_most
    assert found.given == pytest.approx(2 / 3.6 * 8.8**0.5, rel=0.12)  # less, as it is near choking
    assert found.standing is Standing.OK
    narrow = row(size(relief(strong, kv=0.5 / 3600), batch), f"{KIND}.relief", Check.RELIEF_WATER)
    assert narrow.standing is Standing.SHORT


def test_air_above_the_relief_valve_is_let_out_too(press: Plan, batch: Prediction) -> None:
    """15 bar behind a valve that chokes, 8.8 barg at full lift; through the relief valve of 2 m3/h it leaves
    at 150 degC, choked too. W [kg/h] = 3.16 Kv Y sqrt(x p1 rho1), Y 2/3 and x 0.70 where it chokes.
    """
    found = row(size(supply(press, "works_air", pressure=30e5), batch), f"{KIND}.relief", Check.RELIEF_AIR)

    def choked(kv: float, before: float, kelvin: float) -> float:
        kilopascal, density = before / 1e3, before * 0.0289647 / 8.314463 / kelvin
        return 3.16 * kv * 2 / 3 * math.sqrt(0.70 * kilopascal * density) / 3600

    assert found.asked == pytest.approx(choked(0.3, 30e5, 293.15), rel=5e-3)
    assert found.given == pytest.approx(choked(2.0, ATMOSPHERE + 8.8e5, 423.15), rel=5e-3)
    assert found.standing is Standing.OK
    assert "150.0 °C" in found.reason.text()


def test_a_valve_in_the_outlet_narrows_it(press: Plan, batch: Prediction) -> None:
    """1.5 m3/h of steam's way out: with a valve of 0.4 m3/h in it too little, and it is the valve."""
    drain = press.circuit_types[KIND].valves["drain"]
    way_out = evolve(drain, name="drain", opens="outlet", kv=0.4 / 3600, life=100)
    narrow = size(changed(press, valves={**press.circuit_types[KIND].valves, "drain": way_out}), batch)
    steam = row(narrow, f"{KIND}.outlet", Check.STEAM_OUT)
    assert steam.standing is Standing.SHORT
    assert "narrowest is drain" in steam.reason.text()
    assert steam.would is not None
    assert steam.would.kv is not None
    wide = evolve(way_out, kv=steam.would.kv)
    mended = size(changed(press, valves={**press.circuit_types[KIND].valves, "drain": wide}), batch)
    assert row(mended, f"{KIND}.outlet", Check.STEAM_OUT).standing is Standing.OK
    assert row(mended, f"{KIND}.drain", Check.LIFE).standing is Standing.SHORT
    assert Check.EMPTYING not in {one.check for one in mended.rows}


def test_an_outlet_that_is_shut_does_not_help_to_empty(press: Plan, batch: Prediction) -> None:
    """Under 1 m of water a Kv of 1 m3/h passes sqrt(0.098) = 0.313 m3/h; the drain has 3, all outlets 3.5."""
    kind = press.circuit_types[KIND]
    open_ = row(size(press, batch), f"{KIND}.drain", Check.EMPTYING)
    way_out = evolve(kind.valves["drain"], name="way_out", opens="outlet", kv=1.0, rest="shut")
    uses = [evolve(use, valve=use.valve.replace("drain", "way_out")) for use in batch.valves]
    batch = evolve(batch, valves=(*batch.valves, *uses))
    shut = size(changed(press, valves={**kind.valves, "way_out": way_out}), batch)
    alone = row(shut, f"{KIND}.drain", Check.EMPTYING)
    assert 3.6 * alone.given == pytest.approx(3.0 * 0.98**0.5 * 0.1**0.5, rel=5e-3)
    assert open_.given / alone.given == pytest.approx(6.5 / 3.0, rel=1e-3)
    assert "the drain alone" in alone.reason.text()
    small = evolve(kind.valves["drain"], kv=0.1 / 3600)
    found = size(changed(press, valves={**kind.valves, "drain": small, "way_out": way_out}), batch)
    narrow = row(found, f"{KIND}.drain", Check.EMPTYING)
    assert (narrow.standing, narrow.would) != (Standing.OK, None)
    assert narrow.would is not None
    assert narrow.would.kv is not None
    wide = evolve(small, kv=narrow.would.kv)
    mended = size(changed(press, valves={**kind.valves, "drain": wide, "way_out": way_out}), batch)
    assert row(mended, f"{KIND}.drain", Check.EMPTYING).standing is Standing.OK


def test_a_plan_without_a_goal_says_that_nothing_asks(press: Plan, batch: Prediction) -> None:
    found = size(evolve(press, goals=()), batch)
    assert Check.FLOW not in {one.check for one in found.rows}
    assert any("no goal" in note for note in found.notes)
