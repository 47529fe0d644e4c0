"""Whole predictions of the example plans (invented works): what must hold of every run, and of these."""

import json
import math
from itertools import pairwise

import numpy as np
import pytest
from attrs import evolve

import steadfall
from steadfall.logic.build.whole import build
from steadfall.plan.read.whole import read_file
from steadfall.plant import fields as f
from steadfall.plant.grid.whole import lay_out
from steadfall.predict import run as running
from steadfall.predict.inputs.scenario import course
from steadfall.predict.loop import CLOCK, LATE, NOW, RELEASED, Bounds, Registers, advance
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.record import record
from steadfall.predict.run import brisk, coarse, fine, predict
from steadfall.predict.tape import Tape
from steadfall.predict.watch import watch
from steadfall.predict.wiring import wire
from steadfall.progress import Cancelled, Progress
from steadfall.scan.program import compile_network, fresh
from tests.examples import EXAMPLES, SMALL, plain

PLANS = {name: read_file(path) for name, path in SMALL.items()}


@pytest.fixture(scope="module")
def results() -> dict[str, Prediction]:
    return {name: predict(plan) for name, plan in PLANS.items()}


@pytest.fixture(scope="module", params=sorted(PLANS))
def result(request: pytest.FixtureRequest, results: dict[str, Prediction]) -> Prediction:
    return results[str(request.param)]


def test_the_example_is_good(result: Prediction) -> None:
    assert result.good, result.as_json()
    assert result.complete
    first = "every goal was reached" if result.plan.done is None else "the controller ended the cool-down"
    assert result.ended == f"{first} and the finish was done"


def test_the_whole_machine_is_good() -> None:
    """The roll, on the coarse grid: it begins and ends by itself, and every opening is counted."""
    plan = read_file(EXAMPLES["roll"])
    found = predict(plan, settings=coarse(plan))
    assert found.good
    (mist,) = (use for use in found.valves if use.valve == "drive_side.mist")
    assert found.trace.tracks["drive_mist"].values[-1] == mist.openings > 100


def test_the_books_close(result: Prediction) -> None:
    assert set(result.balance) == {"water", "air", "energy"}
    assert all(abs(error) < 1e-9 for error in result.balance.values()), result.balance


def test_limits_are_judged_on_every_scan(result: Prediction) -> None:
    """The worst value of a plain limit is the extreme of its track, which no sample alone may show."""
    for found in result.limits:
        if found.limit.measure == "value" and found.limit.between is None:
            track = result.trace.tracks[found.limit.of]
            assert track.low is not None
            assert track.high is not None
            extreme = np.max(track.high) if found.limit.bound == "at_most" else np.min(track.low)
            assert found.worst == extreme


def test_goals_are_reached_when_the_trace_says_so(result: Prediction) -> None:
    for found in result.goals:
        times, values = result.arrays(found.goal.of)
        assert found.reached_ms is not None
        there = times[np.argmax(values <= found.goal.value)]
        assert there - result.settings.record_ms / 1000 <= found.reached_ms / 1000 <= there


def test_every_circuit_ends_in_idle_with_its_water_valves_shut(result: Prediction) -> None:
    plan = result.plan
    for circuit in plan.circuits:
        assert [m.stage for m in result.moments if m.circuit == circuit][-1] == "idle"
        for valve in plan.type_of(circuit).valves.values():
            if valve.supply and plan.supplies[valve.supply].fluid == "water":
                assert not result.trace.tracks[f"{circuit}.{valve.name}"].values[-1]


def test_stages_are_climbed_one_at_a_time(result: Prediction) -> None:
    for circuit in result.plan.circuits:
        stages = result.trace.tracks[f"{circuit}.stage"].values
        last = len(result.plan.type_of(circuit).stages)
        for before, after in pairwise(stages):
            if 1 <= after <= last:
                assert after <= before + 1 if 1 <= before <= last else after == 1


def test_openings_agree_with_the_trace(result: Prediction) -> None:
    for use in result.valves:
        spans = result.trace.openings(use.valve)
        assert use.openings == len(spans)
        assert use.open_s == pytest.approx(sum(end - start for start, end in spans) / 1000)


def test_water_in_the_books_is_the_water_that_flowed(result: Prediction) -> None:
    """The flow samples are instants; their low and high bound what passed."""
    for use in result.circuits:
        track = result.trace.tracks[f"{use.circuit}.water_flow"]
        steps = np.diff(track.times_ms) / 1000
        assert track.low is not None
        assert track.high is not None
        assert np.sum(track.low[1:] * steps) <= use.water * (1 + 1e-9)
        assert use.water <= np.sum(track.high[1:] * steps) * (1 + 1e-9)


def test_json_has_the_documented_names_and_no_infinity(result: Prediction) -> None:
    told = json.loads(json.dumps(result.as_json(), allow_nan=False))
    assert {
        "plan",
        "scenario",
        "settings",
        "good",
        "limits",
        "goals",
        "use",
        "balance",
        "notes",
        "moments",
    } <= set(told)
    assert all({"worst", "at_s", "kept"} <= set(row) for row in told["limits"] + told["goals"])


def test_two_runs_and_any_chunks_are_the_same_bit_for_bit(
    results: dict[str, Prediction], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(running, "CHUNK_MS", 1_700)
    again = predict(PLANS["barrel"])
    assert again.as_json() == results["barrel"].as_json()
    for name, track in results["barrel"].trace.tracks.items():
        other = again.trace.tracks[name]
        assert np.array_equal(track.times_ms, other.times_ms)
        assert np.array_equal(track.values, other.values)


def test_jitter_is_seeded_and_stays_within_the_plans_promise() -> None:
    plan = PLANS["barrel"]
    one, same, other = (predict(plan, settings=fine(plan, seed)) for seed in (1, 1, 2))
    assert one.as_json() == same.as_json()
    assert one.as_json()["goals"] != other.as_json()["goals"]
    changes = one.trace.tracks["zone_3.mist"].times_ms
    assert np.any(changes % plan.scan.nominal_ms)
    assert one.good


def test_air_lost_shuts_the_water_at_once_and_the_goal_is_still_reached() -> None:
    result = predict(PLANS["press"], "air lost")
    assert result.complete
    seen = 360_000 + PLANS["press"].scan.nominal_ms  # the pressure switch opens in the next scan
    for circuit in PLANS["press"].circuits:
        for valve in ("mist", "flood"):
            for start, end in result.trace.openings(f"{circuit}.{valve}"):
                assert end <= seen or start >= 432_000  # somebody calls anew
    assert result.trace.at("permitted", seen - 1)
    assert not result.trace.at("permitted", seen)


def test_the_coarse_setting_is_near_the_fine_one(results: dict[str, Prediction]) -> None:
    for name, plan in PLANS.items():
        rough = predict(plan, settings=coarse(plan))
        for a, b in zip(results[name].goals, rough.goals, strict=True):
            assert b.reached_ms == pytest.approx(a.reached_ms, rel=0.05)
        assert any("coarse setting" in note.sentence for note in rough.notes)
        soon = predict(plan, settings=brisk(plan))
        for a, b in zip(rough.goals, soon.goals, strict=True):
            assert b.reached_ms == pytest.approx(a.reached_ms, rel=0.02)
        assert any("goals come up to 2 % later" in note.sentence for note in soon.notes)
        assert not any("coarse setting" in note.sentence for note in results[name].notes)


@pytest.mark.parametrize("stride", [0, 100])
def test_the_loop_uncompiled_is_the_loop_compiled(stride: int) -> None:
    """Also where the plant lets scans pass: then it is behind by those that it has not made up for."""
    plan = PLANS["press"]
    outcome = []
    for function in (advance, plain(advance)):
        network, settings = build(plan), Settings(cells=4)
        program, grid, found = compile_network(network), lay_out(plan, 4, 0.02), course(plan)
        state, registers, observed = grid.fresh(), fresh(program), np.zeros(len(grid.observed))
        memory = Registers(registers.ints, registers.reals, np.zeros(len(grid.valves), np.uint8), observed)
        tape = Tape(network, program, grid.observed, observed)
        notes = record(len(grid.observed), tape.watched, tape.real_watched, 50, 5000)
        clock = np.zeros(CLOCK, dtype=np.int64)
        clock[RELEASED] = -1
        watched = watch(plan, grid.observed, observed, 0.02)
        wiring = wire(plan, program, found, grid.valves, grid.observed)
        lengths = np.full(40, 20, dtype=np.int64)
        bounds = Bounds(-1, found.longest_ms, settings.steps_per_scan, 100, 100, stride)
        function(program.code, memory, grid.constants, state, wiring, watched, notes, bounds, clock, lengths)
        assert clock[NOW] == 800
        assert (state.circuit[0, f.STEPS] < lengths.size) == (stride > 0)
        assert state.clock[0] == pytest.approx((clock[NOW] - clock[LATE]) / 1000)
        outcome.append([*memory, *state, *watched, *notes])
    for a, b in zip(*outcome, strict=True):
        assert np.array_equal(a, b, equal_nan=True)


def test_books_that_do_not_close_are_never_good(results: dict[str, Prediction]) -> None:
    broken = evolve(results["press"], balance={**results["press"].balance, "water": 2e-3})
    assert not broken.books_close
    assert not broken.good


class Heard(Progress):
    """Remembers what it was told, and stops at the so-manieth word."""

    def __init__(self, most: int = 1_000_000) -> None:
        self.rows: list[tuple[float, float | None, str]] = []
        self.most = most

    def tell(self, done: float, of: float | None, words: str) -> None:
        self.rows.append((done, of, words))

    def cancelled(self) -> bool:
        return len(self.rows) >= self.most


def test_a_prediction_that_nobody_wants_any_more_ends() -> None:
    heard = Heard(most=2)
    with pytest.raises(Cancelled):
        steadfall.read(EXAMPLES["barrel"]).predict(quick=True, progress=heard)
    assert len(heard.rows) == 2


def test_from_python() -> None:
    plan = steadfall.read(EXAMPLES["barrel"])
    heard = Heard()
    result = plan.predict(quick=True, progress=heard)
    assert result.complete
    assert f"plant time {result.end_ms // 60_000}:" in heard.rows[-1][2]
    assert all(0 <= done <= 1 == of for done, of, _ in heard.rows)
    times, values = result.arrays("zone_steel")
    assert len(times) == len(values)
    assert math.isclose(values[0], 473.15)
    assert "zone_steel" in " ".join(result.frame().columns)
    with pytest.raises(KeyError, match="zone_steel"):
        result.arrays("zone_stel")
    with pytest.raises(steadfall.PlanError, match="is no scenario of this plan"):
        plan.predict("no such scenario")
