"""What holds on any inputs: cuts in the same scan, one stage up per scan, an end to every finish, shortest
times.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.model import Demand, Permissive, Plan, Share
from steadfall.scan.interpreter import Scanner
from tests.logic.plans import (
    AIR_OK,
    CALLS,
    DRAIN,
    FAULT,
    OPEN,
    SWEEP,
    above,
    after,
    circuit_type,
    dose,
    finish,
    on,
    plan,
    stage,
    valve,
)

SHORTEST_OPEN, SHORTEST_SHUT = 50, 40
FINISH_MS = (40, 60)


def made() -> Plan:
    """Every kind of dose, two water valves with shortest times, a guard of each kind."""
    times: dict[str, Any] = {"shortest_open_ms": SHORTEST_OPEN, "shortest_shut_ms": SHORTEST_SHUT}
    stages = (
        stage("one", after(30), sweep=OPEN, mist=dose(60, 50)),
        stage("two", above("demand", 30.0), sweep=OPEN, mist=dose(60, 50, "free")),
        stage("soaking", after(20), sweep=OPEN, mist=Share("demand", 200), flood=dose(60, 70)),
        stage("full", flood=OPEN),
    )
    steps = (finish("blow_out", FINISH_MS[0], sweep=OPEN), finish("emptying", FINISH_MS[1], drain=OPEN))
    kind = circuit_type(
        stages, steps, (valve("mist", **times), valve("flood", **times), SWEEP, DRAIN), step_down_ms=20
    )
    demand = Demand("demand", {"one": 20.0, "full": 80.0}, 5.0, ("upper",))
    only_mist = Permissive("mist", on("upper.mist_is_open"), ("upper.mist",), False)
    return plan(kind, calls=[*CALLS, demand], permissives=(AIR_OK, only_mist), trips=(FAULT,))


PLAN = made()
NETWORK = build(PLAN)
VALVES = ("upper.mist", "upper.flood")
SWITCHES = ("gentle_call", "full_call", "air_ok", "fault", "reset_button", "upper.mist_is_open")
# Air and the mist's permissive mostly hold and the fault mostly does not, so that there is something to cut.
CHANGES = st.fixed_dictionaries(
    {},
    optional={
        "gentle_call": st.booleans(),
        "full_call": st.booleans(),
        "reset_button": st.booleans(),
        "air_ok": st.sampled_from([True, True, True, False]),
        "upper.mist_is_open": st.sampled_from([True, True, True, False]),
        "fault": st.sampled_from([True, False, False, False]),
        "demand": st.floats(0.0, 100.0),
    },
)
# Each step: inputs that change, then so many scans at so many ms.
STEPS = st.lists(
    st.tuples(CHANGES, st.integers(1, 25), st.sampled_from([1, 5, 10, 20, 40])), min_size=1, max_size=12
)
Step = tuple[dict[str, Value], int, int]
Rows = list[tuple[int, dict[str, Value]]]


def played(steps: Sequence[Step]) -> tuple[Scanner, Rows]:
    scanner, now = Scanner(NETWORK), 0
    rows: Rows = []
    scanner.scan(10, {"air_ok": True, "upper.mist_is_open": True})
    for changes, count, dt in steps:
        for number in range(count):
            now += dt
            rows.append((now, dict(scanner.scan(dt, changes if number == 0 else {}))))
    return scanner, rows


@settings(deadline=None, max_examples=150)
@given(STEPS)
def test_water_is_shut_in_the_scan_in_which_it_is_not_permitted(steps: list[Step]) -> None:
    for _, row in played(steps)[1]:
        if not row["air_ok"] or row["tripped"]:
            assert not row["upper.mist"]
            assert not row["upper.flood"]
        if not row["upper.mist_is_open"]:
            assert not row["upper.mist"]


@settings(deadline=None, max_examples=150)
@given(STEPS)
def test_the_stage_goes_up_by_one_at_most_and_never_where_nothing_allows_it(steps: list[Step]) -> None:
    rows = played(steps)[1]
    for (_, before), (_, row) in pairwise(rows):
        old, new, target = (
            int(value) for value in (before["upper.stage"], row["upper.stage"], row["upper.target"])
        )
        if 1 <= new <= 4:
            assert new <= target or new == old  # held by the least time in a stage
            assert new <= (old + 1 if 1 <= old <= 4 else 1)
        else:
            assert target == 0
            assert new in ((5,) if 1 <= old <= 4 else (old, {5: 6, 6: 0, 0: 0}[old]))


@settings(deadline=None, max_examples=100)
@given(STEPS, st.sampled_from([1, 10, 40]))
def test_without_a_call_the_finish_always_reaches_idle(steps: list[Step], dt: int) -> None:
    scanner, _ = played(steps)
    ended = {"gentle_call": False, "full_call": False, "demand": 0.0}
    scanner.scan(dt, ended)
    # Each finish step takes its time rounded up to the scan.
    for _ in range(sum(-(-span // dt) for span in FINISH_MS)):
        last = scanner.scan(dt, {})
    assert last["upper.stage"] == 0


@settings(deadline=None, max_examples=200)
@given(STEPS)
def test_shortest_times_hold_but_for_cuts(steps: list[Step]) -> None:
    rows = played(steps)[1]
    for name in VALVES:
        since: int | None = None  # when the valve moved; what began before the first row is not judged
        for (_, before), (now, row) in pairwise(rows):
            if before[name] == row[name]:
                continue
            cut = (
                not row["air_ok"]
                or row["tripped"]
                or (name == "upper.mist" and not row["upper.mist_is_open"])
            )
            if since is not None and not (cut and before[name]):
                assert now - since >= (SHORTEST_OPEN if before[name] else SHORTEST_SHUT)
            since = now
