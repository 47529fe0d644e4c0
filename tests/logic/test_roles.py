"""Every signal of a plan's network says what it is; its name need not be read for that."""

from __future__ import annotations

from pathlib import Path

import attrs
import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.cone import cone
from steadfall.logic.nodes import Type
from steadfall.plan.meaning.names import signals, timers, valves
from steadfall.plan.read.whole import read_file
from steadfall.prove.requirements.whole import watched
from steadfall.roles import Identity, Role, stage

GOOD = sorted((Path(__file__).parents[1] / "plans/good").glob("*.yaml"))
BESIDE = {Role.OBSERVER, Role.CHOICE, Role.APART, Role.READ, Role.HELPER}


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_every_signal_that_a_plan_makes_has_a_role(path: Path) -> None:
    plan = read_file(str(path))
    network = build(plan)
    named = {**signals(plan), **timers(plan)}
    for name, identity in network.identities.items():
        assert identity.role not in BESIDE, name
        assert identity.circuit in {"", *plan.circuits}
        if identity.valve:
            assert identity.valve in plan.type_of(identity.circuit).valves
        if name in named:
            assert named[name].identity == identity, name


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_stages_and_commands_are_found_by_their_role(path: Path) -> None:
    plan = read_file(str(path))
    network = build(plan)
    assert network.named(Role.STAGE) == tuple(stage(circuit) for circuit in plan.circuits)
    assert network.named(Role.COMMAND) == tuple(valves(plan))
    assert network.outputs[: len(valves(plan))] == tuple(valves(plan))


def test_roles_are_no_part_of_what_networks_are_compared_by() -> None:
    network = build(read_file(str(GOOD[0])))
    bare = [attrs.evolve(row, identity=Identity()) for row in network.assignments]
    assert attrs.evolve(network, assignments=tuple(bare)) == network


def test_what_watches_says_so_and_a_part_keeps_what_its_signals_are() -> None:
    plan = read_file(str(GOOD[0]))
    of = watched(plan)
    for row in of.network.assignments:
        assert row.identity.watches == (row.name not in of.controller), row.name
    circuit = next(iter(plan.circuits))
    part = cone(of.network, of.network.outputs, lambda name: name == stage(circuit))
    freed = [row for row in part.inputs if row.type is Type.INT]
    assert [row.identity for row in freed] == [Identity(Role.STAGE, circuit)]
