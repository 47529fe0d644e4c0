"""A network as it is built: sound, named, with the place of every node; and what an unsound one is told."""

from __future__ import annotations

from pathlib import Path

import pytest

import steadfall
from steadfall.logic.build.stages import state_names
from steadfall.logic.build.whole import build
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import (
    And,
    Compare,
    Constant,
    Elapsed,
    Mux,
    Node,
    Not,
    Previous,
    Read,
    Select,
    Since,
    Ton,
    ToTime,
    Type,
)
from steadfall.logic.types import NetworkError, type_of, walk
from steadfall.plan.meaning.names import energised
from steadfall.plan.model import Input as PlanInput
from steadfall.plan.read.whole import read_file
from steadfall.roles import Role
from tests.logic.plans import AIR_OK, FAULT, INPUTS, circuit_type, large, plan

ROOT = Path(__file__).parents[2]
STARTERS = sorted((Path(steadfall.__file__).parent / "plan" / "starters").glob("*.yaml"))
WRITTEN = [
    *STARTERS,
    *sorted((ROOT / "examples").glob("*.yaml")),
    *sorted((ROOT / "tests/plans/good").glob("*.yaml")),
]
IN, T, N = Read("in", Type.BOOL), Constant(30, Type.TIME), Constant(1, Type.INT)


def test_the_starters_are_there() -> None:
    assert {path.stem for path in STARTERS} >= {"press", "oven", "barrel"}


@pytest.mark.parametrize("path", WRITTEN, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_every_node_of_a_written_plan_knows_its_place(path: Path) -> None:
    made = read_file(path)
    network = build(made)
    lines = len(path.read_text().splitlines())
    for row in network.assignments:
        assert 1 <= row.mark.line <= lines, row.name
        for node in walk(row.node):
            assert 1 <= node.mark.line <= lines, (row.name, node)
    kinds = {name: made.type_of(name) for name in made.circuits}
    commands = {f"{name}.{valve}" for name, kind in kinds.items() for valve in kind.valves}
    shown = {name for name in network.outputs if network.rows[name].role is Role.ALARM}
    fed = {*made.main_valves, *made.pumps}
    turned = {output.name for output, _ in energised(made).values()}
    assert set(network.outputs) == commands | set(made.outputs) | fed | shown | turned
    names = {"permitted", "tripped", *(f"{name}.{end}" for name in kinds for end in ("stage", "target"))}
    names |= {*made.ramps, *(f"{name}.set_point" for name in made.ramps)}
    assert names <= set(network.types)


def test_states_are_numbered_idle_stages_finish() -> None:
    assert state_names(circuit_type()) == ("idle", "dosing", "soaking", "full", "blow_out", "emptying")
    types = build(large()).types
    assert types["upper.stage"] is types["upper.target"] is Type.INT


def test_inner_signals_give_way_to_what_the_plan_calls_by_their_name() -> None:
    mine = [PlanInput(name, "switch") for name in ("upper.stage_time", "may_cool", "trip.fault")]
    network = build(plan(permissives=(AIR_OK,), trips=(FAULT,), inputs=[*INPUTS, *mine]))
    assert {"upper.stage_time_2", "may_cool_2", "trip.fault_2"} <= set(network.types)


def network(*rows: Assignment) -> Network:
    return Network((Input("in", Type.BOOL), Input("n", Type.INT)), rows, ())


def assigned(node: Node, kind: Type = Type.BOOL, name: str = "a") -> Assignment:
    initial = {Type.BOOL: False, Type.TIME: 0, Type.INT: 0, Type.REAL: 0.0}[kind]
    return Assignment(name, kind, node, initial)


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ([assigned(IN), assigned(IN)], "assigned twice"),
        ([assigned(IN, name="in")], "assigned twice"),
        ([assigned(Read("b", Type.BOOL)), assigned(IN, name="b")], "before it has a value"),
        ([assigned(Previous("b", Type.BOOL))], "'b' is not a BOOL signal"),
        ([assigned(Previous("n", Type.BOOL))], "'n' is not a BOOL signal"),
        ([assigned(Not(Ton(IN, T)))], "no name of its own"),
        ([assigned(Ton(Ton(IN, T), T))], "no name of its own"),
        ([assigned(Elapsed("b"), Type.TIME), assigned(Ton(IN, T), name="b")], "not a timer above"),
        ([assigned(IN), assigned(Elapsed("a"), Type.TIME, "b")], "not a timer above"),
        ([assigned(Since("n", 10), Type.TIME)], "'n' is not a BOOL signal"),
        ([assigned(Since("in", -1), Type.TIME)], "cannot count"),
        ([Assignment("a", Type.TIME, Since("in", 5), -1)], "cannot begin -1 ms"),
        ([assigned(T)], "is a BOOL and is given a TIME"),
        ([Assignment("a", Type.BOOL, IN, 0)], "0 is not a BOOL"),
        ([assigned(And((IN, T)))], "needs BOOL and got TIME"),
        ([assigned(And(()))], "without parts"),
        ([assigned(Compare("<", T, N))], "parts of one type"),
        ([assigned(Compare("<", IN, IN))], "cannot be compared"),
        ([assigned(Select(T, IN, IN))], "needs BOOL"),
        ([assigned(Mux(T, (IN,)))], "needs INT"),
        ([assigned(Mux(N, ()))], "parts of one type"),
        ([assigned(Constant(1, Type.BOOL))], "1 is not a BOOL"),
        ([assigned(Constant(True, Type.INT), Type.INT)], "True is not a INT"),
        ([assigned(Constant(1, Type.REAL), Type.REAL)], "1 is not a REAL"),
        ([assigned(ToTime(Constant(1.0, Type.REAL), 0), Type.TIME)], "rounded to a step"),
    ],
)
def test_an_unsound_network_is_refused(rows: list[Assignment], message: str) -> None:
    with pytest.raises(NetworkError, match=message):
        network(*rows)


def test_an_output_that_nothing_assigns_is_refused() -> None:
    with pytest.raises(NetworkError, match="nothing assigns"):
        Network((Input("in", Type.BOOL),), (), ("in",))


def test_what_a_scan_hands_to_the_next() -> None:
    made = network(
        assigned(Previous("b", Type.BOOL)), assigned(Since("in", 5), Type.TIME, "t"), assigned(IN, name="b")
    )
    assert made.remembered == ("b", "in")
    assert type_of(made.assignments[1].node) is Type.TIME
