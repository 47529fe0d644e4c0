"""Answers on networks that no plan made: they end, they say something, and they lead back to the inputs."""

from __future__ import annotations

import json
import random

from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Constant, Previous, Read, Type, Value
from steadfall.why.explain import explain
from steadfall.why.facts.facts import CLOCK, ELAPSED
from steadfall.why.scans.history import History
from tests.logic.networks import TRACES, networks
from tests.runs.made import made

Scans = list[tuple[int, dict[str, Value]]]
CHANCE = st.integers(0, 2**32).map(random.Random)  # its own numbers: those drawn one by one would be too tame
BOOL, TIME = Type.BOOL, Type.TIME
START, STOP, RUN = Read("start", BOOL), Read("stop", BOOL), Read("run", BOOL)
INPUTS = (Input("start", BOOL), Input("stop", BOOL))


def lines(rows: tuple[Assignment, ...], scans: Scans, signal: str) -> list[str]:
    network = Network(INPUTS, rows, ())
    history = History(network, made(scans))
    return explain(network, history, signal, len(history) - 1).sentences()


@settings(max_examples=50, deadline=None)
@given(networks(), TRACES, CHANCE)
def test_every_value_has_an_answer(network: Network, scans: Scans, chance: random.Random) -> None:
    history = History(network, made(scans))
    scan = chance.randrange(len(scans))
    for signal in network.types:
        found = explain(network, history, signal, scan)
        assert found.sentences()[0].startswith(f"{signal} is ")
        assert len(found.sentences()) < 1000
        json.dumps(found.as_json())
        named = {row.fact.kind for row in found.facts} - {CLOCK, ELAPSED}
        assert (
            found.reasons or not named or any(type(node.node) is nodes.Since for node in network.assignments)
        )


def test_a_latch_is_followed_to_the_button_that_set_it() -> None:
    rows = (Assignment("run", BOOL, nodes.ResetDominant(START, STOP), False),)
    scans: Scans = [(0, {}), (10, {"start": True}), (10, {"start": False}), (10, {}), (10, {})]
    assert lines(rows, scans, "run") == [
        "run is true at 0:00.040 because",
        "  stop is false since the start",
        "  run became true at 0:00.010",
        "    start is true since 0:00.010",
        "it would be false in this scan with",
        "  stop true",
    ]


def test_a_timer_says_how_far_it_is_and_what_started_it() -> None:
    rows = (
        Assignment("run", BOOL, nodes.And((START, nodes.Not(STOP))), False),
        Assignment("late", BOOL, nodes.Ton(RUN, Constant(100, TIME)), False),
        Assignment("valve", BOOL, nodes.And((Read("late", BOOL), RUN)), False),
    )
    scans: Scans = [(0, {}), (20, {"start": True}), (20, {}), (20, {})]
    assert lines(rows, scans, "valve") == [
        "valve is false at 0:00.060 because",
        "  late is false since the start",
        "    its timer stands at 40 ms of 100 ms",
        "    run is true since 0:00.020",
        "      start is true since 0:00.020",
        "      stop is false since the start",
        "it would be true in this scan with",
        "  60 ms more on the timer of late",
    ]


def test_of_two_causes_the_one_that_was_there_first() -> None:
    rows = (Assignment("off", BOOL, nodes.Or((START, STOP)), False),)
    scans: Scans = [(0, {}), (10, {"stop": True}), (10, {"start": True})]
    assert lines(rows, scans, "off")[1:2] == ["  stop is true since 0:00.010"]


def test_an_oscillator_is_not_followed_for_ever() -> None:
    rows = (Assignment("q", BOOL, nodes.Not(Previous("q", BOOL)), False),)
    assert len(lines(rows, [(10, {})] * 500, "q")) < 12
