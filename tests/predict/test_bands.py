"""Bands and odds: the draws, the intervals, and that many processes say what one says."""

from __future__ import annotations

import sys

import numpy as np
import pytest
from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.keys.numbers import tolerances
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.plant import fields as f
from steadfall.plant.grid.uncertainty import DOUBTS, HOST_DOUBTS, doubted, doubts, with_hosts_off
from steadfall.plant.grid.whole import lay_out
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.outcome.spread import Bands, Survey
from steadfall.predict.run import coarse, predict
from steadfall.predict.survey.bands import bands, odds, refined
from steadfall.predict.survey.surveyed import surveyed
from steadfall.predict.survey.sweep import Outcome, factors, names, varied
from steadfall.progress import SILENT
from steadfall.report.page.prediction import page
from steadfall.report.text.prediction import summary
from steadfall.source import OutsideError
from steadfall.workers import Processes
from tests.plan.paths import GOOD

PLAN = next(path for path in GOOD if path.stem == "lines_and_tolerances")
ONE = Processes()
RUNS = 24


@pytest.fixture(scope="module")
def plan() -> Plan:
    return read_file(PLAN)


@pytest.fixture(scope="module")
def result(plan: Plan) -> Prediction:
    return predict(plan, settings=coarse(plan))


@pytest.fixture(scope="module")
def found(result: Prediction) -> Bands:
    return bands(result, Survey(RUNS, 7, ONE), SILENT)


def test_the_middle_of_every_tolerance_is_the_plan(plan: Plan) -> None:
    assert varied(plan, np.full(len(names(plan)), 0.5)) == plan


def test_the_ends_are_what_the_plan_says(plan: Plan) -> None:
    """4 barg, 10 % of the gauge pressure: 3.6 and 4.4 barg; 160 degC within 5 K; Kv 0.2 within 10 %."""
    for end, sign in ((0.0, -1), (1.0, 1)):
        other = varied(plan, np.full(len(names(plan)), end))
        assert other.supplies["works_water"].pressure - ATMOSPHERE == pytest.approx(4e5 * (1 + sign * 0.1))
        assert other.bodies["upper_platen"].start == pytest.approx(433.15 + sign * 5)
        kind = other.circuit_types["platen_circuit"]
        assert kind.valves["mist"].kv == pytest.approx(0.2 / 3600 * (1 + sign * 0.1))
        assert kind.path.host_conductance == pytest.approx(1500 * (1 + sign * 0.3))
        assert other.links[0].conductance == pytest.approx(500 * (1 + sign * 0.25))


def test_every_number_that_may_be_off_moves_the_plan(plan: Plan) -> None:
    for name, number in tolerances(plan).items():
        assert number.off(plan, 0.01) != plan, name
        assert number.off(plan, 0.0) == plan, name


def test_every_doubt_moves_what_the_kernel_reads(plan: Plan) -> None:
    grid = lay_out(plan, 4, 0.02)
    for k, doubt in enumerate(DOUBTS):
        assert doubt.low < 1 < doubt.high
        moved = doubted(grid, tuple(1.1 if i == k else 1.0 for i in range(len(DOUBTS))))
        changed = [
            not np.array_equal(getattr(grid.constants, field), getattr(moved.constants, field))
            for field in ("boiling", "liquid", "circuit")
        ]
        assert changed.count(True) == 1, doubt.name
    same = doubted(grid, (1.0,) * len(DOUBTS)).constants
    np.testing.assert_allclose(same.circuit, grid.constants.circuit, rtol=1e-12)


def test_hosts_from_geometry_are_in_doubt_where_there_are_any(plan: Plan) -> None:
    """One factor a correlation: both drilled or both finned circuits of a plan are off alike."""
    assert doubts(plan) == DOUBTS
    hosts = read_file(next(path for path in GOOD if path.stem == "hosts"))
    found = doubts(hosts)[len(DOUBTS) :]
    assert found == HOST_DOUBTS
    for doubt in found:
        assert doubt.low <= 1 < doubt.high
        off = with_hosts_off(hosts, tuple(1.05 if one == doubt else 1.0 for one in doubts(hosts)))
        grids = [lay_out(one, 4, 0.02).constants.circuit[:, f.G_HOST] for one in (hosts, off)]
        concerned = [doubt.concerns(hosts.type_of(name).path) for name in hosts.circuits]
        assert any(concerned)
        assert list(grids[1] > grids[0]) == concerned


def test_factors_are_even_in_the_logarithm(plan: Plan) -> None:
    size = len(names(plan))
    low, mid, high = (factors(plan, np.full(size, at)) for at in (0.0, 0.5, 1.0))
    for doubt, a, b, c in zip(DOUBTS, low, mid, high, strict=True):
        assert (a, c) == pytest.approx((doubt.low, doubt.high))
        assert b == pytest.approx((doubt.low * doubt.high) ** 0.5)


@pytest.mark.parametrize(
    ("kept", "runs", "low", "high"),
    [(0, 20, 0.0, 0.16843), (20, 20, 0.83157, 1.0), (10, 20, 0.27196, 0.72804), (81, 263, 0.2527, 0.3676)],
)
def test_intervals_are_clopper_and_pearsons(kept: int, runs: int, low: float, high: float) -> None:
    """All or none of n: 1 - 0.025^(1/n). 81 of 263: 0.2527 to 0.3676 (Newcombe, Stat. Med. 17 (1998) 857,
    table I).
    """
    one = odds("", [True] * kept + [False] * (runs - kept))
    assert (one.low, one.high) == pytest.approx((low, high), abs=6e-5)


@pytest.mark.slow
def test_the_same_seed_says_the_same_on_any_number_of_processes(result: Prediction, found: Bands) -> None:
    again = bands(result, Survey(RUNS, 7, Processes(2)), SILENT)
    assert again.as_json() == found.as_json()
    for name, band in found.curves.items():
        np.testing.assert_array_equal(band.mid, again.curves[name].mid)
    assert bands(result, Survey(RUNS, 8, ONE), SILENT).as_json()["ranges"] != found.as_json()["ranges"]


def test_points_and_bands_surround_the_prediction(result: Prediction, found: Bands) -> None:
    assert found.runs == RUNS
    goal = found.ranges[-1]
    assert goal.low is not None
    assert goal.high is not None
    assert goal.low < (result.goals[0].reached_ms or 0) / 1000 < goal.high
    band = found.curves["upper_platen"]
    assert (band.low <= band.mid).all()
    assert (band.mid <= band.high).all()
    times, values = result.arrays("upper_platen")
    here = np.interp(band.times_ms / 1000, times, values)
    inside = (band.low - 0.5 <= here) & (here <= band.high + 0.5)
    assert inside.mean() > 0.95


def test_curves_are_shifted_with_the_figures_that_are_read_from_them() -> None:
    """Where the coarse run steps later, its band lay beside the curve, but not its time to the goal."""

    def made(*curve: float) -> Outcome:
        return Outcome(0, complete=True, worst=(), strains={}, reached=(), curves=np.array([curve]))

    same, judged = made(430.0, 420.0, 400.0), made(430.0, 380.0, 300.0)
    found = refined(made(435.0, 424.0, 385.0), same, judged, 290.0)
    np.testing.assert_allclose(found.curves, [[435.0, 384.0, 290.0]])
    assert (refined(same, same, judged, 290.0).curves == judged.curves).all()


def test_odds_fall_when_a_limit_comes_near(plan: Plan) -> None:
    plan = strong(plan)
    worst = found_worst(plan)
    near = evolve(plan, limits=(evolve(plan.limits[1], value=worst),))
    tight = evolve(plan, limits=(evolve(plan.limits[1], value=0.8 * worst),))
    shares = []
    for one in (near, tight):
        judged = predict(one, settings=coarse(one))
        shares.append(bands(judged, Survey(RUNS, 3, ONE), SILENT).each[0].share)
    assert 0.05 < shares[0] < 0.95
    assert shares[1] < shares[0]


def strong(plan: Plan) -> Plan:
    """Of metal that no dose stresses too far, so that its limits alone decide."""
    kinds = {
        name: evolve(kind, path=evolve(kind.path, allowable=1e9)) for name, kind in plan.circuit_types.items()
    }
    return evolve(plan, circuit_types=kinds)


def found_worst(plan: Plan) -> float:
    worst = predict(plan, settings=coarse(plan)).limits[1].worst
    assert worst is not None
    return worst


def test_the_coarse_setting_is_shifted_to_the_prediction(plan: Plan) -> None:
    """Coarse cells understate the stress of the wall; the points lie round the fine prediction's own."""
    fine = predict(plan)
    low, high = (
        getattr(bands(fine, Survey(RUNS, 7, ONE), SILENT).ranges[1], point) for point in ("low", "high")
    )
    worst = fine.limits[1].worst
    rough = predict(plan, settings=coarse(plan)).limits[1].worst
    assert worst is not None
    assert rough is not None
    assert abs(worst - rough) > 0.05 * worst
    assert low - 0.05 * worst < worst < high + 0.05 * worst


def test_summary_and_report_show_them(result: Prediction, found: Bands) -> None:
    whole = evolve(result, bands=found)
    words = summary(whole)
    assert "every limit and rating is kept" in words
    assert max(map(len, words.splitlines())) <= 100
    assert max(map(len, summary(whole, 80).splitlines())) <= 80
    assert f"{RUNS} runs on the coarse setting" in words.replace("\n", " ")
    text = page(whole)
    assert 'id="bands"' in text
    assert "look-o" in text
    assert "upper_platen.odds" in text
    assert 'id="bands"' not in page(result)
    assert whole.as_json()["bands"]["runs"] == RUNS
    assert result.as_json()["bands"] is None


def test_without_scipy_it_says_how_to_get_it(result: Prediction, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "scipy.stats", None)
    monkeypatch.delitem(sys.modules, "steadfall.predict.survey.bands", raising=False)
    with pytest.raises(OutsideError, match=r"steadfall\[bands\]"):
        surveyed(result, Survey(10), SILENT)
