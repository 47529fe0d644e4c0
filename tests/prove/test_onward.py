"""From where runs have come: their states are those of the interpreter, and what is found from there is a
run.
"""

from __future__ import annotations

from functools import cache

import pytest

from steadfall.logic import nodes
from steadfall.logic.cone import cone
from steadfall.plan.model import Never, Plan
from steadfall.plan.model.condition import And as Both
from steadfall.plan.model.condition import InStage, Signal
from steadfall.plan.read.whole import read_file
from steadfall.prove.engines import onward
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs.reached import Reached, reached
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.kept import SETTLED, STARTED, Part
from steadfall.prove.system.replay import replay
from steadfall.prove.system.slots import Slot
from steadfall.prove.system.step import Model
from steadfall.scan.interpreter import Scanner
from tests.examples import EXAMPLES
from tests.prove.plans import guarded


@cache
def plan(name: str) -> Plan:
    return read_file(EXAMPLES[name])


def part(of: Watched, name: str) -> tuple[Model, Rig, str]:
    """A requirement's network for the solver and for runs, and what breaks it."""
    bad = next(row.bad for row in of.required if row.name == name)
    network = cone(of.network, [bad])
    return of.searched(network), rig(of.plan, network), bad


def state_of(model: Model, run: Scanner, slot: Slot) -> bool | int | float:
    name = slot.name
    if slot.part is Part.STATE:
        row = next(row for row in model.network.assignments if row.name == name)
        return (
            run.clocks[name].state
            if isinstance(row.node, nodes.Tof | nodes.Tp)
            else bool(run.clocks[name].state)
        )
    if slot.part is Part.ELAPSED:
        return run.clocks[name].et
    if slot.part is Part.AGE:
        row = next(row for row in model.network.assignments if row.name == name)
        assert isinstance(row.node, nodes.Since)
        return 0 if run.values[row.node.event] else run.values[name]
    return run.values[name]


@pytest.mark.parametrize(
    ("name", "requirement"),
    [("barrel", "stated.1"), ("press", "upper.first_doses.mist_dose.comes_again"), ("oven", "stated.1")],
)
def test_a_state_of_a_run_is_that_of_the_interpreter(name: str, requirement: str) -> None:
    model, of, _ = part(watched(plan(name)), requirement)
    early = sorted(reached(model, of), key=lambda one: one.scan)[:12]
    assert any(
        one.state[slot.key] not in (slot.initial, 0) for one in early for slot in model.slots if slot.clock
    )
    for one in early:
        _compare(model, of, one)


def _compare(model: Model, of: Rig, one: Reached) -> None:
    run = Scanner(model.network)
    for step in of.fast.closed(stimuli(of, one.seed).part(0, one.scan + 1)).steps():
        run.scan(step.dt_ms, step.inputs)
    assert one.state[STARTED] is True
    assert one.state[SETTLED] is False
    for slot in model.slots:
        if slot.key not in (STARTED, SETTLED):
            assert one.state[slot.key] == state_of(model, run, slot), slot.key
            assert type(one.state[slot.key]) is type(slot.initial), slot.key


def test_states_are_as_different_as_can_be() -> None:
    model, of, _ = part(watched(plan("barrel")), "stated.1")
    known = reached(model, of)
    stages = {one.state["last:zone_3.stage"] for one in known}
    assert stages >= {0, 1, 2, 5}  # the higher stages are reached by no run of that length
    assert len({tuple(one.state.items()) for one in known}) > len(known) / 2


def test_what_cannot_be_is_not_found() -> None:
    of = watched(guarded(Never(Both((Signal("upper.mist"), InStage("upper", "idle"))), "")))
    model, runs, bad = part(of, "stated.1")
    assert onward.search(model, model.values[bad], runs, Budget(10_000_000)) is None


def test_a_way_from_a_run_is_one_from_power_up() -> None:
    of, found = watched(guarded(shortest_open_ms=50)), 0
    rows = of.required[::3]
    for row in rows:
        network = cone(of.network, [row.exercised])
        model = of.searched(network)
        scans = onward.search(model, model.values[row.exercised], rig(of.plan, network), Budget(10_000_000))
        if scans is not None:
            assert replay(of.network, scans, row.exercised) is not None
            found += 1
    assert found > len(rows) / 2
