"""A controller that does what the plan says is explained; one that does not, is not, and it is said when."""

from __future__ import annotations

import pytest

from steadfall.bench.judge.explain.follow import Departed, Follower, Window
from steadfall.bench.judge.explain.way import Exact
from steadfall.bench.judge.explain.world import shape
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import MS, LockStep
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import And, Constant, Not, Previous, Read, Ton, Tp, Type

SCANS = 20, 40
CYCLE, CYCLES = 50 * MS, 200


def pulses(on_ms: int, off_ms: int) -> Network:
    """While `call` is on, `valve` is on for a time and off for a time, in turn."""
    call = Read("call", Type.BOOL)
    wait = Ton(And((call, Not(Previous("valve", Type.BOOL)))), Constant(off_ms, Type.TIME))
    rows = (
        Assignment("wait", Type.BOOL, wait, False),
        Assignment("pulse", Type.BOOL, Tp(Read("wait", Type.BOOL), Constant(on_ms, Type.TIME)), False),
        Assignment("valve", Type.BOOL, And((call, Read("pulse", Type.BOOL))), False),
    )
    return Network((Input("call", Type.BOOL),), rows, ("valve",))


def judged(controller: Network, plan: Network, seed: int = 1) -> Departed | None:
    """The first thing that the plan does not explain, of a controller that is called after 0.5 s."""
    soft = LockStep(Soft(controller, ["valve"]), *SCANS, seed=seed)
    follower = Follower(shape(plan), Exact(*SCANS), ["valve"])
    follower.begin({"call": False}, Window(0, SCANS[1]))
    for cycle in range(CYCLES):
        soft.wait_until((cycle + 1) * CYCLE)
        seen = soft.read()
        found = follower.read(Window(seen.begun_ns / MS, seen.ended_ns / MS), seen.values)
        if found:
            return found
        if cycle == 10:
            sent = soft.write({"call": True})
            follower.write(Window(sent.begun_ns / MS, sent.ended_ns / MS), {"call": True})
    return None


@pytest.mark.parametrize("seed", range(6))
def test_the_right_controller_is_explained_whatever_its_scans(seed: int) -> None:
    assert judged(pulses(400, 900), pulses(400, 900), seed=seed) is None


@pytest.mark.parametrize(("on", "off"), [(520, 900), (280, 900), (400, 1020), (400, 780)])
def test_a_pulse_or_a_pause_that_is_off_by_a_poll_and_two_scans_is_found(on: int, off: int) -> None:
    found = [judged(pulses(on, off), pulses(400, 900), seed=seed) for seed in range(4)]
    assert all(found), found
    assert all(one and "valve" in one.outputs for one in found)


def test_a_controller_that_never_begins_to_scan_is_found() -> None:
    row = Assignment("valve", Type.BOOL, Not(Read("call", Type.BOOL)), False)
    follower = Follower(
        shape(Network((Input("call", Type.BOOL),), (row,), ("valve",))), Exact(*SCANS), ["valve"]
    )
    follower.begin({"call": False}, Window(0, SCANS[1]))
    assert (
        follower.read(Window(SCANS[1], SCANS[1] + 1), {"valve": False}) is None
    )  # its first scan may be due
    assert follower.read(Window(SCANS[1] + 1, SCANS[1] + 2), {"valve": False}) is not None
