"""A run made smaller still comes to its goal, with nothing in it that need not be."""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import And, Compare, Constant, Node, Not, Read, Ton, Type, Value
from steadfall.runs.minimise import Goal, fewer_changes, fewer_scans
from steadfall.runs.player import Fast, player
from steadfall.runs.run import Run
from tests.runs.made import Scan, listed, made


def held(preset_ms: int, *others: Node) -> Network:
    """Broken once `button` has held for a time, and `others` hold."""
    button, other = Read("button", Type.BOOL), Read("temperature", Type.REAL)
    rows = (
        Assignment("held", Type.BOOL, Ton(button, Constant(preset_ms, Type.TIME)), False),
        Assignment("hot", Type.BOOL, Compare(">", other, Constant(90.0, Type.REAL)), False),
        Assignment("bad", Type.BOOL, And((Read("held", Type.BOOL), *others)), False),
    )
    names = (Input("button", Type.BOOL), Input("idle", Type.BOOL), Input("temperature", Type.REAL))
    return Network(names, rows, ())


def smaller(network: Network, run: Run, ordinary: Mapping[str, Value]) -> list[Scan]:
    """As few changes as may be; it still breaks."""
    found = fewer_changes(Goal(player(network, run), "bad"), run, ordinary)
    assert Fast(network).first(found, ["bad"])[0] >= 0
    return listed(found)


def test_what_does_not_matter_keeps_still_and_as_usual() -> None:
    network = held(100, Read("hot", Type.BOOL), Not(Read("idle", Type.BOOL)))
    scans: list[Scan] = [(0, {"button": False, "idle": True, "temperature": 20.0})]
    scans += [(20, {"button": True, "idle": bool(turn % 2), "temperature": 95.0 + turn}) for turn in range(6)]
    scans[-1] = (20, {"idle": False})
    found = smaller(network, made(scans), {"button": False, "idle": False, "temperature": 165.0})
    assert found[0][1] == {"button": True, "idle": False, "temperature": 165.0}
    assert all(not inputs for _, inputs in found[1:])


def test_an_input_that_keeps_still_lets_another_do_so() -> None:
    network = held(20, Not(And((Not(Read("idle", Type.BOOL)), Not(Read("hot", Type.BOOL))))))
    scans: list[Scan] = [(0, {"button": True, "idle": False, "temperature": 95.0})]
    scans += [(20, {"temperature": 20.0, "button": False}), (20, {"temperature": 95.0})]
    scans += [(20, {"button": True}), (20, {})]
    found = smaller(network, made(scans), {"button": False, "idle": True, "temperature": 20.0})
    assert found[0][1] == {"button": True, "idle": True, "temperature": 20.0}
    assert all(not inputs for _, inputs in found[1:])


def test_of_many_scans_one_change_is_left() -> None:
    scans: list[Scan] = [(0, {"button": False, "idle": True})]
    scans += [
        (40, {"idle": bool(turn % 2), **({"button": True} if turn == 9 else {})}) for turn in range(600)
    ]
    found = smaller(held(20_000), made(scans), {"button": False, "idle": False})
    assert [inputs for _, inputs in found if inputs] == [{"button": True, "idle": False}]


def test_what_is_fixed_is_left_as_it_is() -> None:
    run = made([(0, {"button": True, "idle": True}), (20, {"idle": False}), (20, {})])
    goal = Goal(Fast(held(20)), "bad")
    assert listed(fewer_changes(goal, run, {"idle": False}, {"idle"})) == listed(run)


def test_nothing_is_lost_when_nothing_may_be_played() -> None:
    run = made([(0, {"button": True, "idle": True}), *[(40, {"idle": False})] * 20]).changes()
    for smaller_run in (
        fewer_changes(Goal(Fast(held(500)), "bad", 0), run, {"idle": False}),
        fewer_scans(Goal(Fast(held(500)), "bad", 0), run, 40, {}),
    ):
        assert listed(smaller_run) == listed(run)


def test_scans_are_as_few_and_as_far_apart_as_may_be() -> None:
    scans: list[Scan] = [(0, {"button": False, "idle": True, "temperature": 1.0})]
    scans += [(7, {"idle": bool(turn % 2), "temperature": float(turn)}) for turn in range(100)]
    scans += [(7, {"button": True}), *[(7, {})] * 20]
    run = made(scans)
    last = Fast(held(100)).first(run, ["bad"])[0]
    found = fewer_scans(Goal(Fast(held(100)), "bad"), run.part(0, last + 1), 40, {"idle": False})
    assert Fast(held(100)).first(found, ["bad"])[0] == len(found) - 1
    assert listed(found) == [(40, {"button": True, "idle": False, "temperature": 1.0}), *[(40, {})] * 3]
