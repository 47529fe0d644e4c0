"""The run in which a proved requirement applies, made again from what is stored."""

from __future__ import annotations

import json
from functools import cache

import pytest
from attrs import evolve

from steadfall.logic.cone import cone
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import PROVED, Proof, Verdict
from steadfall.prove.explain.witness import witnesses
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.system.replay import replay
from steadfall.prove.whole.run import prove
from tests.prove.plans import guarded

PLAN = guarded(shortest_open_ms=50, shortest_shut_ms=50)


@cache
def proof() -> Proof:
    return prove(PLAN, ("upper.mist", "upper.dosing"), Ask(effort=40_000_000, recheck=False), workers=1)


@cache
def of() -> Watched:
    return watched(PLAN)


def seeded() -> list[Verdict]:
    proved = [row for row in proof().verdicts if row.verdict == PROVED and row.witness]
    return [row for row in proved if "seed" in (row.witness or {}) and "then" not in (row.witness or {})]


def test_every_proved_requirement_is_shown_at_work() -> None:
    proved = [row.required.name for row in proof().verdicts if row.verdict == PROVED]
    assert len(proved) > 5
    assert sorted(witnesses(of(), proof().verdicts)) == sorted(proved)


def test_it_is_the_run_that_the_interpreter_makes() -> None:
    one = rig(PLAN, of().network)
    drawn = witnesses(of(), proof().verdicts)
    for row in seeded():
        assert row.witness is not None
        run = stimuli(one, row.witness["seed"]).part(0, row.witness["scan"] + 1)
        valves = [name for name in row.required.shown if name in of().network.outputs]
        seen = replay(
            cone(of().network, [row.required.exercised, *valves]),
            one.fast.closed(run),
            row.required.exercised,
        )
        assert seen is not None
        shown = drawn[row.required.name]
        assert (seen.at_ms, row.witness["at_ms"]) == (shown.at_ms, shown.at_ms)
        begin, end = shown.window
        assert begin <= shown.at_ms <= end
        for name in valves:
            turns = [turn for turn in shown.trace.changes(name) if turn[0] <= shown.at_ms]
            assert turns == [turn for turn in seen.trace.changes(name) if turn[0] <= shown.at_ms]


def test_a_witness_with_a_change_on_purpose_and_one_in_steps_are_made_again() -> None:
    row = seeded()[0]
    assert row.witness is not None
    scan = row.witness["scan"]
    bent = {**row.witness, "then": {"scan": scan + 1, "input": "fault", "to": 1.0}}
    again = witnesses(of(), [evolve(row, witness=bent)])[row.required.name]
    assert again.at_ms == row.witness["at_ms"]
    assert again.trace.at("fault", again.trace.end_ms)
    inputs = {"demand": True, "air_ok": True, "gentle_call": True}
    steps = [{"at_ms": 0, "scan_ms": 0, "scans": 1, "inputs": inputs}]
    steps += [{"at_ms": 20, "scan_ms": 20, "scans": 400, "inputs": {}}]
    stored = json.loads(json.dumps({"by": "bounded search", "at_ms": 8000, "steps": steps}))
    row = next(one for one in proof().verdicts if one.required.name == "upper.mist.shortest_open")
    assert row.required.name in witnesses(of(), [evolve(row, witness=stored)])


@pytest.mark.parametrize("witness", [{"seed": 1, "scan": 3}, {"seed": 0, "scan": 10**7}])
def test_a_run_in_which_it_says_nothing_is_not_drawn(witness: dict[str, int]) -> None:
    row = next(one for one in proof().verdicts if one.required.name == "upper.mist.cut_by_trip")
    forged = {**witness, "by": "runs", "at_ms": 60}
    assert witnesses(of(), [evolve(row, witness=forged)]) == {}


def test_measured_values_that_change_all_the_time_are_left_out() -> None:
    for one in witnesses(of(), proof().verdicts).values():
        for name in one.names:
            track = one.trace.tracks[name]
            if track.kind == "real" and name not in one.verdict.required.shown:
                begin, end = one.window
                assert sum(begin <= when <= end for when, _ in one.trace.changes(name)[1:]) <= 3
