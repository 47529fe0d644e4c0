"""Timers against vectors. Rules from memory of IEC 61131-3 (timing diagrams of TON, TOF, TP); vectors derived
by hand.

PT 30 ms and a scan each 10 ms, where nothing else is said. Through the interpreter and the compiled scan.
"""

from collections.abc import Callable

import pytest

from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import (
    Constant,
    Fall,
    Node,
    Not,
    Previous,
    Read,
    ResetDominant,
    Rise,
    SetDominant,
    Since,
    Tof,
    Ton,
    Tp,
    Type,
)
from steadfall.scan.interpreter import Scanner
from tests.scan.machine import Machine

Reader = Callable[[Network], Scanner | Machine]
READERS: list[Reader] = [Scanner, Machine]
IN = Read("in", Type.BOOL)


def preset(ms: int) -> Constant:
    return Constant(ms, Type.TIME)


def network(node: Node) -> Network:
    return Network(
        (Input("in", Type.BOOL), Input("also", Type.BOOL)), (Assignment("q", Type.BOOL, node, False),), ("q",)
    )


def numbers(text: str) -> list[int]:
    return [int(word) for word in text.split()]


VECTORS: list[tuple[str, Node, str, str, str]] = [
    ("TON", Ton(IN, preset(30)), "0 1 1 1 1 1 0 1 0", "0 0 0 0 1 1 0 0 0", "0 0 10 20 30 30 0 0 0"),
    ("TON PT 0", Ton(IN, preset(0)), "0 1 1 0", "0 1 1 0", "0 0 0 0"),
    ("TON PT 25", Ton(IN, preset(25)), "0 1 1 1 1 0", "0 0 0 0 1 0", "0 0 10 20 25 0"),
    ("TON short IN", Ton(IN, preset(30)), "0 1 1 0 1 1 1 1", "0 0 0 0 0 0 0 1", "0 0 10 0 0 10 20 30"),
    ("TON IN at once", Ton(IN, preset(30)), "1 1 1 1 1", "0 0 0 1 1", "0 10 20 30 30"),
    (
        "TOF",
        Tof(IN, preset(30)),
        "0 1 1 0 0 0 0 0 1 0 0 1 1",
        "0 1 1 1 1 1 0 0 1 1 1 1 1",
        "0 0 0 0 10 20 30 30 0 0 10 0 0",
    ),
    ("TOF one-scan IN", Tof(IN, preset(30)), "0 1 0 0 0 0 0", "0 1 1 1 1 0 0", "0 0 0 10 20 30 30"),
    ("TOF PT 0", Tof(IN, preset(0)), "0 1 1 0 0", "0 1 1 0 0", "0 0 0 0 0"),
    ("TOF never on", Tof(IN, preset(30)), "0 0 0 0", "0 0 0 0", "0 0 0 0"),
    ("TP long IN", Tp(IN, preset(30)), "0 1 1 1 1 1 0 0", "0 1 1 1 0 0 0 0", "0 0 10 20 30 30 0 0"),
    ("TP one-scan IN", Tp(IN, preset(30)), "0 1 0 0 0 0 0", "0 1 1 1 0 0 0", "0 0 10 20 0 0 0"),
    (
        "TP retrigger",
        Tp(IN, preset(30)),
        "0 1 0 1 1 0 1 0 0 0 0",
        "0 1 1 1 0 0 1 1 1 0 0",
        "0 0 10 20 30 0 0 10 20 0 0",
    ),
    ("TP PT 0", Tp(IN, preset(0)), "0 1 1 0 1", "0 0 0 0 0", "0 0 0 0 0"),
]  # fmt: skip


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(
    ("node", "ins", "qs", "ets"), [row[1:] for row in VECTORS], ids=[row[0] for row in VECTORS]
)
def test_vectors(reader: Reader, node: Node, ins: str, qs: str, ets: str) -> None:
    run = reader(network(node))
    seen = [run.scan(10, {"in": bool(value)}) for value in numbers(ins)]
    assert [int(row["q"]) for row in seen] == numbers(qs)
    assert [row["q.ET"] for row in seen] == numbers(ets)


@pytest.mark.parametrize("reader", READERS)
def test_a_timer_that_resets_itself_has_a_period_of_its_preset_and_two_scans(reader: Reader) -> None:
    run = reader(network(Ton(Not(Previous("q", Type.BOOL)), preset(30))))
    assert [int(run.scan(10, {})["q"]) for _ in range(14)] == numbers("0 0 0 1 0 0 0 0 1 0 0 0 0 1")


@pytest.mark.parametrize("reader", READERS)
def test_elapsed_time_never_runs_past_the_preset_and_a_scan_may_take_no_time(reader: Reader) -> None:
    run = reader(network(Ton(IN, preset(30))))
    seen = [run.scan(dt, {"in": True})["q.ET"] for dt in (5, 0, 0, 29, 0, 10**12, 10**12)]
    assert seen == [0, 0, 0, 29, 29, 30, 30]


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(
    ("node", "ins", "qs"),
    [
        # First call after a cold start: R_TRIG with CLK = 1 and F_TRIG with CLK = 0 give Q once (from
        # memory).
        (Rise(IN), "1 1 0 1 0", "1 0 0 1 0"),
        (Rise(IN), "0 1 1", "0 1 0"),
        (Fall(IN), "0 0 1 0 0", "1 0 0 1 0"),
        (Fall(IN), "1 1 0", "0 0 1"),
    ],
)
def test_edges(reader: Reader, node: Node, ins: str, qs: str) -> None:
    run = reader(network(node))
    assert [int(run.scan(10, {"in": bool(value)})["q"]) for value in numbers(ins)] == numbers(qs)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(
    ("node", "qs"),
    [
        (SetDominant(IN, Read("also", Type.BOOL)), "0 1 1 0 1 1 0"),
        (ResetDominant(IN, Read("also", Type.BOOL)), "0 1 1 0 0 1 0"),
    ],
)
def test_latches(reader: Reader, node: Node, qs: str) -> None:
    run = reader(network(node))
    ins, also = numbers("0 1 0 0 1 1 0"), numbers("0 0 0 1 1 0 1")
    seen = [int(run.scan(10, {"in": bool(i), "also": bool(r)})["q"]) for i, r in zip(ins, also, strict=True)]
    assert seen == numbers(qs)


@pytest.mark.parametrize("reader", READERS)
def test_since_counts_from_the_scan_of_the_event(reader: Reader) -> None:
    rows = (Assignment("age", Type.TIME, Since("event", 50), 0), Assignment("event", Type.BOOL, IN, False))
    run = reader(Network((Input("in", Type.BOOL),), rows, ()))
    events = numbers("0 0 1 0 0 1 1 0 0 0 0 0 0 0")
    ages = [run.scan(10, {"in": bool(event)})["age"] for event in events]
    assert ages == [0, 10, 20, 10, 20, 30, 10, 10, 20, 30, 40, 50, 50, 50]
