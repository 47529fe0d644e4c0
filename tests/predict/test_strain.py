"""What a run does to the plant, against hand calculations and against what the plan allows."""

from __future__ import annotations

import math

import pytest

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file, read_text
from steadfall.predict.outcome.result import Prediction, Strain
from steadfall.predict.run import coarse, predict
from steadfall.report.text.prediction import summary
from tests.plan.paths import GOOD

PLAN = next(path for path in GOOD if path.stem == "lines_and_tolerances")


def found(result: Prediction, about: str, what: str) -> Strain:
    return next(one for one in result.strains if (one.about, one.what) == (about, what))


@pytest.fixture(scope="module")
def plan() -> Plan:
    return read_file(PLAN)


@pytest.fixture(scope="module")
def result(plan: Plan) -> Prediction:
    return predict(plan, settings=coarse(plan))


def test_stress_is_the_shock_times_what_the_material_makes_of_it(result: Prediction) -> None:
    """Carbon steel of the built-in table: 210 GPa x 12e-6 / 0.7 = 3.6 MPa for each kelvin."""
    _, shock = result.arrays("upper.wall_shock")
    _, stress = result.arrays("upper.wall_stress")
    assert stress == pytest.approx(3.6e6 * shock)
    worst = found(result, "upper", "thermal stress")
    high = result.trace.tracks["upper.wall_shock"].high
    assert high is not None
    assert worst.value == pytest.approx(3.6e6 * high.max(), rel=1e-6)
    assert worst.bound == 120e6
    limit = next(one for one in result.limits if one.limit.of == "upper.wall_stress")
    assert limit.worst == pytest.approx(worst.value, rel=1e-6)


def test_hammer_of_a_slow_valve_by_hand(result: Prediction) -> None:
    """Flood: Kv 2 m3/h from 4 barg, 20 m of 35.9 mm; at most 2 rho L v / t above the supply."""
    flood = found(result, "upper.flood", "water hammer")
    fastest = 2 / 3600 * 2.0 / (math.pi * 0.0359**2 / 4)  # m/s if the whole 4 bar stood over the valve
    most = 501325 + 2 * 999 * 20 * fastest / 1.5
    assert 501325 < flood.value < most
    assert flood.how.startswith("slow: shuts in 1.5 s, the wave is back in ")
    assert flood.bound == pytest.approx(2601325.0)


def test_a_fast_valve_on_a_long_line_hammers_rapidly() -> None:
    text = PLAN.read_text(encoding="utf-8").replace("length: 12 m, bore: 27.2 mm", "length: 60 m, bore: 8 mm")
    hard = predict(read_text(text), settings=coarse(read_text(text)))
    mist = found(hard, "upper.mist", "water hammer")
    assert "rapid" in mist.how
    speed = math.sqrt(2.2e9 / 999 / (1 + 2.2e9 / 210e9 * 8 / 3.2 * 0.91))
    flow = 0.2 / 3600 * 1000 * 2.0  # kg/s at most
    assert 501325 < mist.value <= 501325 + 999 * speed * flow / (999 * math.pi * 0.008**2 / 4)


def test_a_broken_rating_makes_the_prediction_bad_and_says_so() -> None:
    text = PLAN.read_text(encoding="utf-8").replace("allowable: 120 MPa", "allowable: 20 MPa")
    worse = predict(read_text(text), settings=coarse(read_text(text)))
    assert not found(worse, "upper", "thermal stress").kept
    assert not worse.good
    assert "Rated values are EXCEEDED: thermal stress in upper" in summary(worse).replace("\n", " ")


def test_a_full_stream_on_hot_metal_geysers_and_is_told() -> None:
    text = PLAN.read_text(encoding="utf-8")
    start = text.index("      - {name: dosing")
    end = text.index("      - {name: full")
    text = (
        (text[:start] + text[end:])
        .replace("start: 160 degC", "start: 220 degC")
        .replace("> 7 barg", "> 15 barg")
    )
    hot = predict(read_text(text), settings=coarse(read_text(text)))
    use = hot.circuits[0]
    assert use.geysers >= 1
    assert use.reversals >= use.geysers
    assert use.peak_steam > 0
    assert use.steam_out <= use.evaporated + 1e-9
    assert use.flashed_out > 0
    assert use.steam_behind == use.steam_out + use.flashed_out
    assert any("above the water's" in note.sentence for note in hot.notes if note.about == "upper")


def test_water_left_behind_would_flash() -> None:
    """Without a blow-out the circuit stays full; its steam by m R T / p at the host's start."""
    text = PLAN.read_text(encoding="utf-8")
    text = text.replace("    finish:\n      - {name: blow_out, sweep: open, for: 20 s}\n", "")
    full = predict(read_text(text), settings=coarse(read_text(text)))
    use = full.circuits[0]
    assert use.liquid_left > 0.5
    assert use.flash_volume == pytest.approx(use.liquid_left * 461.52 * 433.15 / 101325, rel=1e-3)
    assert any("next heat-up" in note.sentence for note in full.notes)


def test_json_and_summary_show_it(result: Prediction) -> None:
    shown = result.as_json()
    assert [one["what"] for one in shown["strains"][:2]] == ["pressure", "thermal stress"]
    assert {"geysers", "flash_volume_m3", "steam_out_kg"} <= set(shown["use"]["circuits"][0])
    assert "What the plant goes through" in summary(result)


def test_a_main_valve_hammers_the_line_of_its_supply_with_all_that_is_drawn() -> None:
    """Cut in the full stream: 25 m of 27 mm, a flow that shuts in 0.1 s of travel."""
    text = next(path for path in GOOD if path.stem == "supply_side").read_text(encoding="utf-8")
    line = "line: {length: 25 m, bore: 27 mm, wall: 3 mm, material: carbon steel, rated: 16 barg}"
    for old, new in (
        ("temperature: 12 degC}", f"temperature: 12 degC, {line}}}"),
        ("after 40 s and outlet_temperature < 120 degC", "after 5 s"),
        ("kv: 8 m3/h, travel: 2 s, lead: 3 s", "kv: 8 m3/h, travel: 100 ms, lead: 3 s"),
        ("scenarios:\n", "scenarios:\n  cut:\n    until: 40 s\n    steps:\n      - {at: 0 s, cool: on}\n"
         "      - {at: 30 s, air_there: off}\n"),
    ):  # fmt: skip
        assert old in text
        text = text.replace(old, new)
    plan = read_text(text)
    cut = predict(plan, "cut", coarse(plan))
    hammer = found(cut, "water_main", "water hammer")
    times, flow = cut.arrays("pot_jacket.water_flow")
    stopped = float(flow[times <= 30.0][-1]) / (1000.0 * math.pi * 0.027**2 / 4)  # m/s
    by_hand = 2.0 * 1000.0 * 25.0 * stopped / 0.1  # Pa, slow closing: 2 rho L dV / t
    assert "slow" in hammer.how
    assert hammer.time_ms == pytest.approx(30_000, abs=200)
    assert hammer.value - plan.supplies["town_water"].pressure == pytest.approx(by_hand, rel=0.02)
