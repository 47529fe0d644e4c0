"""The interpreter and the fast scan play a run alike."""

from __future__ import annotations

import random

import numpy as np
import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.plan.read.whole import read_file
from steadfall.prove.requirements.whole import watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.runs import player as players
from steadfall.runs.kernel import play_scans
from steadfall.runs.player import Fast, Interpreter, player
from steadfall.runs.run import Step, run_of
from steadfall.scan.program import fresh
from tests.examples import EXAMPLES, plain
from tests.logic.networks import TRACES, networks
from tests.runs.made import listed, made

Scans = list[tuple[int, dict[str, Value]]]


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(networks(), TRACES)
def test_the_same_in_every_scan(network: Network, scans: Scans) -> None:
    run = made([(dt, {**inputs, "not an input": 1.0}) for dt, inputs in scans])
    whole = [name for name, kind in network.types.items() if kind is not Type.REAL]
    truths = [name for name, kind in network.types.items() if kind is Type.BOOL]
    meant = [[int(played.values[name]) for name in whole] for played in Interpreter(network).play(run)]
    np.testing.assert_array_equal(Fast(network).columns(run, whole), np.array(meant).reshape(len(scans), -1))
    assert Interpreter(network).first(run, truths) == Fast(network).first(run, truths)


def test_limit_switches_follow_and_a_closed_run_needs_no_following() -> None:
    plan = read_file(EXAMPLES["press"])
    of = watched(plan).network
    one, seen = rig(plan, of), 0
    for seed in range(12):
        run = stimuli(one, seed).part(0, 300)
        closed, names = one.fast.closed(run), [*of.outputs, *one.follows]
        assert not closed.follows
        np.testing.assert_array_equal(one.fast.columns(closed, names), one.fast.columns(run, names))
        meant = [[int(played.values[name]) for name in names] for played in Interpreter(of).play(run)]
        np.testing.assert_array_equal(one.fast.columns(run, names), np.array(meant))
        seen += bool(run.follows)
    assert 0 < seen < 12


def test_a_stretch_goes_on_from_the_registers_before_it() -> None:
    plan = read_file(EXAMPLES["press"])
    one = rig(plan, watched(plan).network)
    run, registers = stimuli(one, 3).part(0, 500), fresh(one.fast.program)
    whole, real = one.fast.everything(run, registers, (0, 500))
    for begin, end in ((0, 200), (200, 201), (201, 500)):
        one.fast.forward(run, registers, (begin, end))
        np.testing.assert_array_equal(registers.ints, whole[end])
        np.testing.assert_array_equal(registers.reals, real[end])


def test_the_kernel_as_plain_python(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = read_file(EXAMPLES["press"])
    one = rig(plan, watched(plan).network)
    run = stimuli(one, 3).part(0, 30)
    compiled = one.fast.everything(run, fresh(one.fast.program), (0, 30))
    monkeypatch.setattr(players, "play_scans", plain(play_scans))
    for kept, again in zip(compiled, one.fast.everything(run, fresh(one.fast.program), (0, 30)), strict=True):
        np.testing.assert_array_equal(kept, again)


def test_power_cuts_are_for_the_interpreter() -> None:
    plan = read_file(EXAMPLES["press"])
    of = watched(plan).network
    run = run_of(
        [Step(0, {"full_call": True, "air_pressure_ok": True}), *[Step(20)] * 50, Step(0, {}, 400), Step(20)]
    )
    with pytest.raises(ValueError, match="no power cuts"):
        Fast(of).first(run, of.outputs)
    assert isinstance(player(of, run), Interpreter)
    assert isinstance(player(of, evolve(run, cuts={})), Fast)
    played = list(Interpreter(of).play(run))
    assert [one.lost is not None for one in played] == [*[False] * 51, True, False]
    assert played[51].at_ms == 1000
    assert played[52].at_ms == 1420
    assert Interpreter(of).first(run, ["permitted"]) == [0]


def test_what_no_input_is_of_the_network_is_left_out() -> None:
    plan = read_file(EXAMPLES["press"])
    of = watched(plan).network
    run = made([(0, {"full_call": True, "nobody": True}), (random.Random(1).randint(1, 40), {})])
    assert len(list(Interpreter(of).play(run))) == len(listed(run)) == 2
    assert Fast(of).columns(run, ["full_call"]).tolist() == [[1], [1]]
