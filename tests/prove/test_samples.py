"""Samples of what a controller comes to: settings at both their ends, calls by buttons begun again, no jump
cut short by a clock that stands still.
"""

from __future__ import annotations

import random
from functools import cache

import numpy as np
import pytest
from attrs import evolve

from steadfall.logic.build.whole import build
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide import simulation
from steadfall.prove.decide.by_lemmas import group_of
from steadfall.prove.decide.simulation import simulate
from steadfall.prove.lemmas.grid import FAR, grids
from steadfall.prove.lemmas.joint import Joint
from steadfall.prove.lemmas.seen import seen
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs.anew import presses
from steadfall.prove.runs.courses import course
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.sampled import machine_of, sampled, states
from steadfall.prove.runs.stimuli import LONGEST_RUN, any_scans, stimuli
from steadfall.prove.system.kept import last
from steadfall.prove.system.step import model
from steadfall.roles import Role, in_use, of_circuit, of_plant, stage
from steadfall.runs.run import Run
from steadfall.runs.strides import IDLE
from steadfall.units import value_in
from tests.examples import EXAMPLES, ROOT

GOOD = ROOT / "tests" / "plans" / "good"
FIRST_DOSE = (400, 800, 1600)  # the ends of the setting, and its default


@cache
def of(name: str) -> Watched:
    return watched(read_file(GOOD / f"{name}.yaml"))


def joint(one: Watched, circuit: str) -> Joint:
    """The system of a circuit."""
    rows = [row for row in one.required if row.circuit == circuit]
    return Joint(model(group_of(one, circuit, rows).part, one.plan.scan.longest_ms, single=True))


def test_settings_are_seen_at_both_their_ends_and_lemmas_say_nothing_of_them_alone() -> None:
    one = of("settings")
    system = joint(one, "upper")
    keys = [slot.key for slot in system.slots]
    setting = last(in_use("first_dose").name)
    assert setting in system.settings
    rows = sampled(system.model, rig(one.plan, system.model.network), system.slots, power_cut=False)
    assert set(FIRST_DOSE) <= set(np.unique(rows[:, keys.index(setting)]).tolist())
    view = seen(system, grids(system.slots, system.dues, one.plan.scan.longest_ms), rows).sampled
    at = view.clocks.index(keys.index(setting))
    assert (view.rests[:, at, -1] == FAR).all()
    assert (view.rests[:, -1, at] == FAR).all()
    assert (view.rests[:, at, 1:-1] < FAR).any()


def test_no_lemma_speaks_of_what_a_signal_that_is_free_was_before() -> None:
    system = joint(of("settings"), "upper")
    other = last(of_circuit(Role.STAGE, "lower").name)
    assert system.unsaid == {other}
    rows = np.zeros((1, len(system.slots)), dtype=np.int64)
    view = seen(system, grids(system.slots, system.dues, 40), rows).sampled
    place = [slot.key for slot in system.slots].index(other)
    assert place not in view.clocks
    assert place not in view.plain


def test_valves_are_tested_and_moved_by_hand_while_other_circuits_are_free() -> None:
    """The other circuit's stage may be anything; as a rest it stands in idle, its drain open."""
    one = of("hand")
    system = joint(one, "upper")
    keys = [slot.key for slot in system.slots]
    rows = sampled(system.model, rig(one.plan, system.model.network), system.slots, power_cut=False)
    seen_in = {key: rows[:, at] for at, key in enumerate(keys)}
    turns = np.unique(seen_in[last(of_plant(Role.TEST_STEP).name)])
    assert turns.tolist() == [0, 1, 2, 3, 4]
    by_hand = (seen_in[last(of_plant(Role.IN_HAND).name)] == 1) & (seen_in[last(stage("upper"))] == 0)
    for valve in ("mist", "flood", "sweep", "way_out"):
        assert seen_in[last(f"upper.{valve}")][by_hand].any(), valve
    assert not seen_in[last("upper.drain")][by_hand].all()


def test_a_circuit_that_is_free_rests_while_nobody_calls() -> None:
    """Of the plan with a drain that stands open in idle."""
    one = of("hand")
    made = rig(one.plan, joint(one, "upper").model.network)
    assert made.uncalled[stage("lower")] == 0.0
    assert not made.let_go.keys() & {stage("lower")}


def test_a_cool_down_is_not_over_as_usual() -> None:
    plan = read_file(GOOD / "done.yaml")
    ends = rig(plan, build(plan)).ends
    for name in ("upper.platen_temperature", "lower.platen_temperature"):
        assert ends[name] > value_in(273.15 + 70, plan.inputs[name].unit)


def test_a_button_is_pressed_again_soon_after_what_happens() -> None:
    plan = read_file(GOOD / "buttons.yaml")
    usual, events = rig(plan, build(plan)), range(100, 1000, 100)
    soon = 0
    for seed in range(10):
        moves = presses(usual, random.Random(seed), 2000, events)
        pressed = {at for at, _, value in moves if value}
        soon += all(pressed & set(range(event, event + 21)) for event in events)
    assert soon >= 5


@pytest.mark.parametrize("circuit", ["upper", "lower"])
def test_a_clock_that_stands_still_cuts_no_jump_short(circuit: str) -> None:
    """In idle observers of doses are begun anew in every scan, and nothing comes of them."""
    one = of("settings")
    system = joint(one, circuit)
    usual = rig(one.plan, system.model.network)
    machine = machine_of(system.model, usual, system.slots, power_cut=False)
    made = course(usual, 0, [1], power_cut=False).begun(100)
    off = [(0, name, 0.0) for name in ("full_call", "air_pressure_ok", "tripped") if name in usual.types]
    rows, took = states(machine, evolve(made, dts=made.dts * 0, moves=off))
    stage = [slot.key for slot in system.slots].index(last(of_circuit(Role.STAGE, circuit).name))
    assert (rows[-10:, stage] == 0).all()
    assert (took[-10:] == IDLE * usual.longest_ms).all()


def test_runs_end_where_as_many_again_have_shown_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    one, seeds = of("done"), list[int]()
    never = evolve(one.required[0], exercised=one.required[0].bad)

    def counted(usual: Rig, seed: int) -> Run:
        seeds.append(seed)
        return stimuli(usual, seed)

    monkeypatch.setattr(simulation, "stimuli", counted)
    monkeypatch.setattr(simulation, "PERTURBED_AFTER", (1, 2, 4))
    assert simulation.simulate(one, [never], 8)[never.name].witness is None
    assert seeds == [0, 1, 2]


@pytest.mark.parametrize("longest", [1, 20, 32, 40])
def test_scans_of_any_length_are_those_that_one_would_draw_one_by_one(longest: int) -> None:
    one, other = random.Random(longest), random.Random(longest)
    assert any_scans(one, longest) == tuple(other.randint(1, longest) for _ in range(LONGEST_RUN))
    assert one.random() == other.random()


def test_one_limit_switch_at_a_time_stands_still_while_valves_are_tested() -> None:
    """Each valve of the roll's test fails it in some run; where two stand still, the first ends the test."""
    one = watched(read_file(EXAMPLES["roll"]))
    rows = [row for row in one.required if row.name.endswith(".failure_seen")]
    assert len(rows) == 2
    whole = rig(one.plan, one.network)
    missing = [set(whole.follows) - set(stimuli(whole, seed).follows) for seed in range(40)]
    assert {frozenset(names) for names in missing if len(names) == 1} == {
        frozenset({name}) for name in whole.follows
    }
    assert all(row.witness for row in simulate(one, rows).values())


def test_all_limit_switches_follow_where_no_valve_is_tested() -> None:
    one = of("feedback_and_faults")
    whole = rig(one.plan, one.network)
    assert whole.follows
    assert {frozenset(stimuli(whole, seed).follows) for seed in range(20)} == {
        frozenset(whole.follows),
        frozenset(),
    }
