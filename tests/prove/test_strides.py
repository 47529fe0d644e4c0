"""Runs that jump: each step again on the interpreter, in scans no longer than the longest."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Type, Value
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.by_lemmas import group_of
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs.courses import Course, course
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.sampled import Machine, machine_of, sampled, states
from steadfall.prove.system.dues import dues
from steadfall.prove.system.kept import STARTED, Part
from steadfall.prove.system.step import Model, model
from steadfall.runs import strides
from steadfall.runs.player import cut_power
from steadfall.scan.interpreter import Scanner
from tests.examples import EXAMPLES, plain
from tests.prove.test_onward import state_of

TIMES, STEPS = (200, 2000), 120
CIRCUITS = {"press": "lower", "oven": "coil_1"}


@cache
def of(name: str) -> Watched:
    return watched(read_file(EXAMPLES[name]))


def system(name: str) -> Model:
    """The system of a circuit."""
    one, circuit = of(name), CIRCUITS[name]
    part = group_of(one, circuit, [row for row in one.required if row.circuit == circuit]).part
    return model(part, one.plan.scan.longest_ms, single=True)


def machine(name: str, part: Model, *, power_cut: bool = False) -> Machine:
    return machine_of(part, rig(of(name).plan, part.network), part.slots, power_cut=power_cut)


def given(part: Model, made: Course) -> dict[int, dict[str, Value]]:
    """What inputs are given, by step."""
    found: dict[int, dict[str, Value]] = {}
    for at, name, value in made.moves:
        kind = part.network.types[name]
        here = value if kind is Type.REAL else bool(value) if kind is Type.BOOL else int(value)
        found.setdefault(at, {})[name] = here
    return found


def scan_on(run: Scanner, ms: int, inputs: dict[str, Value], longest: int) -> None:
    """So much time, in scans no longer than the longest; the inputs change in the first."""
    while True:
        run.scan(min(ms, longest), inputs)
        ms, inputs = ms - longest, {}
        if ms <= 0:
            break


def agree(part: Model, run: Scanner, row: Any) -> None:
    """A state is that of the interpreter; a clock without an end may have gone on past its limit."""
    limits = {
        row.name: row.node.limit_ms for row in part.network.assignments if isinstance(row.node, nodes.Since)
    }
    for slot, value in zip(part.slots, row, strict=True):
        if slot.part:
            shown = min(int(value), limits[slot.name]) if slot.part is Part.AGE else int(value)
            assert shown == int(state_of(part, run, slot)), slot.key


@pytest.mark.parametrize("power_cut", [False, True])
@pytest.mark.parametrize("name", CIRCUITS)
def test_a_jump_comes_to_where_single_scans_come(name: str, power_cut: bool) -> None:
    part, jumps, cuts = system(name), 0, 0
    known = machine(name, part, power_cut=power_cut)
    for seed in (5, 7):
        made = course(known.of, seed, TIMES, power_cut=power_cut)
        rows, passed = states(known, made)
        run, moves, waiting = Scanner(part.network), given(part, made), dict[str, Value]()
        for step in range(STEPS):
            waiting |= moves.get(step, {})
            if made.offs[step]:
                cut_power(run, int(made.offs[step]))
                cuts += 1
            else:
                scan_on(run, int(passed[step]), waiting, part.longest_ms)
                jumps += passed[step] > part.longest_ms
                waiting = {}
            assert rows[step, 0] == (not made.offs[step])  # started
            agree(part, run, rows[step])
    assert part.slots[0].key == STARTED
    assert jumps > 5
    assert bool(cuts) == power_cut


def test_it_also_runs_as_plain_python(monkeypatch: pytest.MonkeyPatch) -> None:
    part = system("press")
    known = machine("press", part)
    made = course(known.of, 7, TIMES, power_cut=False)
    dts, ends, afters, offs = (row[:200] for row in (made.dts, made.ends, made.afters, made.offs))
    short = Course(dts, ends, afters, offs, made.moves)
    compiled, _ = states(known, short)
    for name in ("give", "followed", "lose_power", "grow_old", "jump", "next_due"):
        monkeypatch.setattr(strides, name, plain(getattr(strides, name)))
    monkeypatch.setattr("steadfall.prove.runs.sampled.play_strides", plain(strides.play_strides))
    np.testing.assert_array_equal(states(known, short)[0], compiled)
    most = np.full((2, 2, 2), -1)
    plain(strides.farthest)(np.array([0, 1, 0]), np.array([[5, 3], [2, 9], [4, 1]]), most)
    assert most.tolist() == [[[0, 3], [-1, 0]], [[0, -1], [7, 0]]]


@pytest.mark.parametrize("name", CIRCUITS)
def test_every_stage_is_entered(name: str) -> None:
    part = system(name)
    rows = sampled(part, rig(of(name).plan, part.network), part.slots, power_cut=False)
    circuit = of(name).plan.circuits[CIRCUITS[name]]
    kind = of(name).plan.circuit_types[circuit.type]
    stage = next(place for place, slot in enumerate(part.slots) if slot.key == f"last:{CIRCUITS[name]}.stage")
    assert set(rows[:, stage].tolist()) == set(range(len(kind.stages) + len(kind.finish) + 1))


def test_a_clock_is_due_at_each_time_that_it_is_compared_with() -> None:
    time = Type.TIME
    clock, three, seventy = nodes.Read("age", time), nodes.Constant(300, time), nodes.Constant(70, time)
    rows = (
        Assignment("age", time, nodes.Since("a", 500), 0),
        Assignment("copy", time, clock, 0),
        Assignment("far", Type.BOOL, nodes.Compare(">=", three, nodes.Read("copy", time)), False),
        Assignment("timer", Type.BOOL, nodes.Ton(nodes.Read("a", Type.BOOL), seventy), False),
        Assignment("both", Type.BOOL, nodes.Compare("<", nodes.Elapsed("timer"), clock), False),
    )
    assert dues(Network((Input("a", Type.BOOL),), rows, ())) == {"age:age": {300}, "et:timer": {70}}
