"""Sensors scatter at the bench as the plan says, alike by one seed, and a right controller passes."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from statistics import fmean, median, stdev

import pytest
from attrs import evolve

from steadfall.app.bench import Benched, How, rehearse
from steadfall.bench.cases.noisy import Noisy
from steadfall.bench.cases.script import Case
from steadfall.bench.cases.told import Told
from steadfall.bench.session.journal import Row
from steadfall.logic.nodes import Value
from steadfall.plan.meaning.handed import handed_by
from steadfall.plan.model import Plan
from steadfall.plan.model.upset import Upset, Wrong
from steadfall.plan.read.whole import read_text
from steadfall.predict.inputs.scenario import course
from steadfall.predict.stepper import Stepper
from tests.bench.made import plan_of

CYCLES, CYCLE_MS = 400, 50
LOWER, PRESSURE = "lower.outlet_temperature", "upper.pressure"
# A climb that hangs on a temperature which stands near its limit, so that noise crosses it again and again.
CLIMB = (
    "climb: after 45 s and outlet_temperature < 120 degC",
    "climb: after 5 s and outlet_temperature < 120 degC",
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Values in mA, counts, and as they are; one by the root of a pressure drop."""
    return plan_of("bad_sensors")


@pytest.fixture(scope="module")
def rehearsed() -> Plan:
    text = plan_of("small").text
    assert CLIMB[0] in text
    for ends, noise in (("0 .. 250 degC}", "0.5 K"), ("0 .. 16 barg}", "0.02 bar")):
        text = text.replace(ends, f"{ends[:-1]}, noise: {noise}}}")
    return read_text(text.replace(*CLIMB))


@pytest.fixture(scope="module")
def made(rehearsed: Plan) -> Benched:
    return rehearse(rehearsed, How(lasting_s=20), seed=3)


def without(plan: Plan) -> Plan:
    return evolve(plan, inputs={name: evolve(item, noise=0.0) for name, item in plan.inputs.items()})


def written(made: Benched) -> list[Mapping[str, Value]]:
    return [part.values for row in made.recording.rows for part in row.writes]


def shown_of(stepper: Stepper, name: str) -> list[float]:
    """What a sensor shows while nothing is opened, SI."""
    shown = []
    for _ in range(CYCLES):
        shown.append(float(handed_by(stepper.plan.inputs[name]).si(float(stepper.sense()[name]))))
        stepper.step({}, CYCLE_MS)
    return shown


@pytest.mark.parametrize(
    ("name", "deviation"),
    [("upper.outlet_temperature", 0.3), (LOWER, 0.5)],  # K, as the plan says; in mA, in counts
)
def test_a_sensor_scatters_as_the_plan_says(plan: Plan, name: str, deviation: float) -> None:
    noisy, still = shown_of(Noisy(plan), name), shown_of(Stepper(plan), name)
    off = [one - other for one, other in zip(noisy, still, strict=True)]
    assert stdev(off) == pytest.approx(deviation, rel=0.15)  # four times what 400 draws leave open
    assert abs(fmean(off)) < deviation / 5


def test_at_an_end_of_the_range_half_of_the_draws_are_cut_off(plan: Plan) -> None:
    """A pressure that stands at the low end, and a flow there, where its root is steep."""
    for name, deviation in ((PRESSURE, 2000.0), ("upper.water_flow", 0.4 / 60)):
        low = plan.inputs[name].low
        off = [one - low for one in shown_of(Noisy(plan), name)]
        above = [one for one in off if one > deviation / 100]
        assert min(off) > -deviation / 1e6
        assert CYCLES * 0.4 < len(above) < CYCLES * 0.6
        assert (fmean(one * one for one in above)) ** 0.5 == pytest.approx(deviation, rel=0.2)


def test_counts_stay_whole(plan: Plan) -> None:
    stepper = Noisy(plan)
    shown = {float(stepper.sense()[LOWER]) for _ in range(50)}
    assert len(shown) > 20
    assert all(one.is_integer() for one in shown)


def test_a_recording_has_the_scatter(made: Benched) -> None:
    """From cycle to cycle two draws are apart by the root of two deviations; the plant moves far less."""
    shown = [float(one[LOWER]) for one in written(made) if LOWER in one]
    assert len(shown) > 390
    apart = median(abs(after - before) for before, after in pairwise(shown))
    assert apart == pytest.approx(0.6745 * 2**0.5 * 0.5, rel=0.25)  # 0.6745: half of a normal lies within it


def test_a_right_controller_passes(rehearsed: Plan, made: Benched) -> None:
    """It is judged by the values that it was handed, on which a climb hung."""
    assert made.good, made.judged.conforms
    stages = {one["upper.stage"] for row in made.recording.rows for one in _read(row) if "upper.stage" in one}
    assert len(stages) == 3, "idle, dosing, and full by the climb"
    for seed in (1, 2):
        assert rehearse(rehearsed, How(lasting_s=20), seed=seed).good


def _read(row: Row) -> list[Mapping[str, Value]]:
    return [part.values for part in row.reads]


def test_the_same_seed_is_the_same_session(rehearsed: Plan, made: Benched) -> None:
    again, other = (rehearse(rehearsed, How(lasting_s=20), seed=seed) for seed in (3, 4))
    rows = [row.as_json() for row in made.recording.rows]
    assert [row.as_json() for row in again.recording.rows] == rows
    first, second = written(made)[0], written(other)[0]
    assert first[LOWER] != second[LOWER]


def test_one_more_sensor_with_noise_changes_nothing_of_the_others(plan: Plan) -> None:
    more = evolve(plan.inputs["lower_platen_temperature"], noise=0.3)
    another = evolve(plan, inputs={**plan.inputs, more.name: more})
    assert shown_of(Noisy(another), LOWER) == shown_of(Noisy(plan), LOWER)


@pytest.mark.parametrize(("wrong", "value"), [(Wrong.STICKS, None), (Wrong.SHOWS, 350.0)])
def test_a_sensor_that_stands_still_scatters_no_more(plan: Plan, wrong: Wrong, value: float | None) -> None:
    stepper = Noisy(plan)
    stepper.sense()
    stepper.let(Upset(0, LOWER, wrong, value))
    assert len(set(shown_of(stepper, LOWER))) == 1


def test_what_a_case_hands_over_is_handed_over_as_it_is(plan: Plan) -> None:
    told = Told(plan, Case("told", "", course(plan), 1_000, forced=((0, {LOWER: 12_000.0}),)))
    assert {told.sense()[LOWER] for _ in range(20)} == {12_000.0}


def test_away_from_the_bench_there_is_no_noise(plan: Plan) -> None:
    assert shown_of(Stepper(plan), LOWER) == shown_of(Noisy(without(plan)), LOWER)
