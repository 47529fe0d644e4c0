"""A check from common practice (no published source): two on-delay timers that reset each other give a square
wave.

With both at 0.5 s and a stronger call that climbs after 2 s, water is dosed for 2 s and then steady, air on
throughout.
"""

from itertools import pairwise

import pytest

from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Constant, Not, Previous, Read, Ton, Type
from steadfall.scan.interpreter import Scanner
from tests.logic.plans import FINISH, OPEN, SWEEP, after, circuit_type, dose, plan, stage, valve
from tests.logic.running import run
from tests.scan.machine import Machine

HALF = Constant(500, Type.TIME)


@pytest.mark.parametrize("reader", [Scanner, Machine])
def test_two_on_delay_timers_that_reset_each_other_give_a_square_wave(
    reader: type[Scanner] | type[Machine],
) -> None:
    rows = (
        Assignment("first", Type.BOOL, Ton(Not(Previous("second", Type.BOOL)), HALF), False),
        Assignment("second", Type.BOOL, Ton(Read("first", Type.BOOL), HALF), False),
    )
    wave = reader(Network((), rows, ()))
    values = [wave.scan(10, {})["first"] for _ in range(1000)]
    changes = [10 * i for i in range(1, 1000) if values[i] != values[i - 1]]
    # Half a second each, and a scan more: the second timer is seen one scan late, and its reset one scan
    # after that.
    assert changes[:5] == [500, 1010, 1520, 2030, 2540]
    assert {b - a for a, b in pairwise(changes)} == {510}


@pytest.mark.parametrize("clock", ["restart", "free"])
def test_water_is_dosed_for_two_seconds_and_then_steady_with_air_throughout(clock: str) -> None:
    stages = (
        stage("dosing", after(2000), sweep=OPEN, mist=dose(500, 500, clock)),
        stage("full", sweep=OPEN, mist=OPEN),
    )
    seen = run(plan(circuit_type(stages, FINISH, (valve("mist"), SWEEP))), 6000, {0: {"full_call": True}})
    dosed = {"restart": [(0, 500), (1000, 1500)], "free": [(500, 1000), (1520, 2020)]}[clock]
    water = seen.changes("upper.mist")
    if clock == "restart":
        assert seen.openings("upper.mist") == dosed
        assert water[-1] == (2000, True)
    else:  # the second dose of the free clock is still open when the full stream takes over
        assert seen.openings("upper.mist") == dosed[:1]
        assert water[-1] == (1520, True)
    assert seen.changes("upper.stage") == [(0, 1), (2000, 2)]
    assert seen.changes("upper.sweep") == [(0, True)]
