"""What a person does at the panel is required of any controller: each seeded fault breaks a requirement."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import attrs
import pytest

from steadfall.logic import nodes
from steadfall.logic.build.whole import build
from steadfall.logic.cone import cone
from steadfall.logic.network import Network
from steadfall.logic.nodes import Node, Value
from steadfall.logic.types import rebuilt
from steadfall.plan.read.whole import read_text
from steadfall.prove.decide.simulation import simulate
from steadfall.prove.requirements.whole import watched
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in GOOD}
MAIN = "valves:\n  water_main: {in: works_water, kv: 12 m3/h, travel: 1 s, lead: 2 s, lag: 5 s}\ncircuits:\n"
TEXTS["fed by hand"] = TEXTS["hand"].replace("circuits:\n", MAIN, 1)
PLANS = {name: read_text(TEXTS[name]) for name in ("buttons", "hand")}
RUNS = 30
CLIMB, STEP = "upper.dosing.climb", "step_button.steps_on"
Change = Callable[[Node], Node]
STARTED, PRESSED, LET_GO = "start_button.started_full", "start_button.pressed", "dosing.let_go_first"


def latch(node: Node) -> nodes.ResetDominant:
    assert isinstance(node, nodes.ResetDominant)
    return node


def without(place: int) -> Change:
    """A latch in which one of the things that end it is left out."""

    def change(node: Node) -> Node:
        one = latch(node)
        assert isinstance(one.reset, nodes.Or)
        return attrs.evolve(one, reset=one.reset.parts[1 - place])

    return change


def never_cut(node: Node) -> Node:
    """Nothing asks for a new call but power-up."""
    assert isinstance(node, nodes.Or)
    return node.parts[1]


def at_once(_: Node) -> Node:
    return nodes.Constant(False, nodes.Type.BOOL)


def start_wins(node: Node) -> Node:
    return nodes.SetDominant(latch(node).set, latch(node).reset)


def while_pressed(node: Node) -> Node:
    """A call that begins as long as the button is pressed, and not with the press."""
    one = latch(node)
    assert isinstance(one.set, nodes.And)
    return attrs.evolve(one, set=one.set.parts[0])


def left_out(place: int) -> Change:
    """A part of a sum or a product left out."""

    def change(node: Node) -> Node:
        assert isinstance(node, nodes.And | nodes.Or)
        kept = tuple(part for number, part in enumerate(node.parts) if number != place)
        return kept[0] if len(kept) == 1 else attrs.evolve(node, parts=kept)

    return change


# What is wrong: plan, signal, change, the requirement that it breaks.
FAULTS: Mapping[str, tuple[str, str, Change, str]] = {
    "the stop button is left out": ("buttons", STARTED, without(0), "upper.stop_wins"),
    "a trip does not end the call": ("buttons", STARTED, without(1), f"{STARTED}.as_pressed"),
    "start wins": ("buttons", STARTED, start_wins, "upper.stop_wins"),
    "a press that lasts begins again": ("buttons", STARTED, while_pressed, f"{STARTED}.as_pressed"),
    "a cut asks for no new call": ("buttons", LET_GO, never_cut, "lower.waits_for_a_new_call"),
    "no call must be new": ("buttons", LET_GO, at_once, "lower.waits_for_a_new_call"),
    "a hold lets climbs pass": ("hand", CLIMB, left_out(1), "upper.holds"),
    "a hold is read the wrong way round": ("hand", "on_hold", nodes.Not, "upper.holds"),
    "a step asks for no new press": ("hand", STEP, left_out(1), "upper.dosing.climbs"),
    "a step is left out": ("hand", STEP, at_once, "upper.dosing.climbs"),
    "the button is read the wrong way round": ("buttons", PRESSED, nodes.Not, f"{STARTED}.as_pressed"),
}


def changed(network: Network, signal: str, change: Change) -> Network:
    rows = [
        attrs.evolve(row, node=change(row.node)) if row.name == signal else row for row in network.assignments
    ]
    return attrs.evolve(network, assignments=tuple(rows))


@pytest.mark.parametrize("fault", FAULTS)
def test_a_seeded_fault_breaks_its_requirement(fault: str) -> None:
    name, signal, change, broken = FAULTS[fault]
    plan = PLANS[name]
    right = build(plan)
    assert signal in right.rows
    for network, faulty in ((changed(right, signal, change), True), (right, False)):
        of = watched(plan, network)
        (asked,) = (row for row in of.required if row.name == broken)
        seen = simulate(of, [asked], RUNS)[asked.name]
        assert (seen.violation is not None) is faulty


def ignoring(*names: str) -> Change:
    """What a node says of some signals taken for false."""

    def change(node: Node) -> Node:
        if isinstance(node, nodes.Read | nodes.Previous) and node.name in names:
            return nodes.Constant(False, nodes.Type.BOOL)
        return rebuilt(node, change)

    return change


def so(*names: str) -> Change:
    """What a node asks of some signals taken for true."""

    def change(node: Node) -> Node:
        asked = node.left if isinstance(node, nodes.Compare) else node
        if isinstance(asked, nodes.Read | nodes.Previous) and asked.name in names:
            return nodes.Constant(True, nodes.Type.BOOL)
        return rebuilt(node, change)

    return change


def set_alone(node: Node) -> Node:
    """A latch that is no latch."""
    assert isinstance(node, nodes.SetDominant)
    return node.set


def while_any_moves(_: Node) -> Node:
    return nodes.Read("test_moves", nodes.Type.BOOL)


Script = tuple[tuple[int, Mapping[str, Value]], ...]  # scans of 20 ms, and what is not as usual in them
CALL, KEY, OUT = {"full_call": True}, {"hand_key": True}, {"hand_key": True, "out_by_hand": True}
HOLDS: Script = ((2, {}), (2200, CALL), (100, {**CALL, "hold_switch": True}), (100, CALL))
COMES: Script = ((2, {}), (9, CALL), (9, {**CALL, **KEY}), (150, KEY))
BOTH: Script = ((150, {}), (5, OUT), (5, {**OUT, "flood_by_hand": True, "sweep_by_hand": True}))
TURNS: Script = (
    (150, {}),
    (5, OUT),
    (5, {**OUT, "sweep_by_hand": True}),
    (5, {**OUT, "flood_by_hand": True}),
)
SHUTS: Script = ((150, {}), (5, OUT), (5, {**OUT, "sweep_by_hand": True}), (5, KEY))
NO_OUT: Script = ((150, {}), (5, KEY), (5, {**KEY, "sweep_by_hand": True}))
DRAINS: Script = (
    (150, {}),
    (5, OUT),
    (5, {**OUT, "mist_by_hand": True}),
    (5, {**OUT, "drain_by_hand": True}),
)
LEAVES: Script = ((150, {}), (5, OUT), (5, {**OUT, "mist_by_hand": True}), (30, {}))
PRESS = {"test_button": True}
FINISHES: Script = ((60, {}), (2, PRESS), (5, {}))  # the drain is open, as at rest
TRIES: Script = ((150, {}), (2, PRESS), (130, {}))  # the mist is open
ALL: Script = (*TRIES, (900, {}))
CALLED: Script = (*TRIES, (5, CALL))
CUTS_IN: Script = (*TRIES, (5, {**OUT, "sweep_by_hand": True}))
AT_REST: Script = (*TRIES, (2, PRESS), (30, {}))
FEEDS: Script = ((150, {}), (5, OUT), (150, {**OUT, "mist_by_hand": True}))
IN_HAND, FLOOD, OUTLET = "in_hand", "upper.flood.by_hand", "upper.way_out.by_hand"
FAILED = "upper.flood.failed_test"
# What is wrong: plan, signal, change, what is done, the requirement that it breaks.
SLOW_FAULTS: Mapping[str, tuple[str, str, Change, Script, str]] = {
    "a hold stops no clock": ("hand", "upper.climb_turn", left_out(1), HOLDS, "upper.dosing.climbs"),
    "hand mode cuts no call": ("hand", "upper.target", ignoring(IN_HAND), COMES, "upper.hand_finishes"),
    "valves do not wait for idle": ("hand", "hand_ready", left_out(1), COMES, "upper.drain.by_hand"),
    "valves do not wait for the end of a test": (
        "hand",
        "hand_ready",
        ignoring("in_test"),
        CUTS_IN,
        "upper.sweep.by_hand",
    ),
    "both asked for open": ("hand", FLOOD, ignoring("sweep_by_hand"), BOTH, "upper.flood.by_hand"),
    "one does not wait for the other": ("hand", FLOOD, ignoring("upper.sweep"), TURNS, "upper.flood.by_hand"),
    "water does not wait for the drain": (
        "hand",
        "upper.drain.by_hand",
        ignoring("upper.mist"),
        DRAINS,
        "upper.mist.not_with_drain",
    ),
    "the outlet does not wait": ("hand", OUTLET, ignoring("upper.sweep"), SHUTS, OUTLET),
    "what lets in does not wait for the outlet": (
        "hand",
        "upper.sweep.by_hand",
        lambda _: nodes.Read("sweep_by_hand", nodes.Type.BOOL),
        NO_OUT,
        "upper.sweep.not_into_shut_outlet",
    ),
    "what was let in by hand stays in": ("hand", "hand_over", at_once, LEAVES, "upper.hand_over"),
    "a test begins out of idle": (
        "hand",
        "test_step",
        so("upper.stage", "lower.stage"),
        FINISHES,
        "test.takes_turns",
    ),
    "a call does not end a test": ("hand", "test_off", left_out(0), CALLED, "test.ends"),
    "a test ends before its valves are at rest": ("hand", "in_test", set_alone, AT_REST, "test.lasts"),
    "a circuit cools in a test": ("hand", "upper.target", ignoring("in_test"), CALLED, "upper.idle_in_test"),
    "what a test lets in stays in": ("hand", "test_over", at_once, AT_REST, "upper.test_over"),
    "a drain does not make way": (
        "hand",
        "upper.drain.asked_by_test",
        lambda _: nodes.Constant(True, nodes.Type.BOOL),
        TRIES,
        "upper.drain.by_test",
    ),
    "two valves have one turn": (
        "hand",
        "upper.flood.asked_by_test",
        while_any_moves,
        TRIES,
        "upper.one_at_a_time",
    ),
    "a failure is forgotten": ("hand", FAILED, set_alone, ALL, "upper.flood.failure_seen"),
    "a main valve does not follow the hand": (
        "fed by hand",
        "water_main.needed",
        ignoring("mist_by_hand"),
        FEEDS,
        "water_main.as_needed",
    ),
    "a valve in hand does not wait for its main": (
        "fed by hand",
        "upper.mist.by_hand",
        so("water_main.ready"),
        FEEDS,
        "upper.mist.by_hand",
    ),
    "hand mode ends before its valves are at rest": (
        "hand",
        IN_HAND,
        lambda node: node.set if isinstance(node, nodes.SetDominant) else node,
        LEAVES,
        "hand.latches",
    ),
}


@pytest.mark.parametrize("fault", SLOW_FAULTS)
def test_a_fault_that_takes_its_time_breaks_its_requirement(fault: str) -> None:
    name, signal, change, script, asked = SLOW_FAULTS[fault]
    text = TEXTS[name].replace(
        "blow_out, way_out: open, sweep: open, for: 20 s", "blow_out, way_out: open, sweep: open, for: 1 s"
    )
    plan = read_text(text.replace("drain: open, for: 60 s", "drain: open, for: 1 s"))
    right = build(plan)
    assert signal in right.rows
    usual: dict[str, Value] = {
        row.name: 100.0 if row.type is nodes.Type.REAL else False for row in right.inputs
    }
    usual |= {"air_pressure_ok": True, "upper.pressure": 0.0}
    for network, wrong in ((changed(right, signal, change), True), (right, False)):
        of, broken = watched(plan, network), False
        (row,) = (row for row in of.required if row.name == asked)
        part = cone(of.network, [row.bad])
        scanner, inputs = Scanner(part), {one.name for one in part.inputs}
        for scans, given in script:
            for _ in range(scans):
                now = {**usual, **given}
                scanner.scan(20, {name: now[name] for name in inputs})
                broken |= bool(scanner.values[row.bad])
        assert broken is wrong


FILL = (
    "      fill: {supply: works_water, kv: 1 m3/h, travel: 1 s, shortest_open: 200 ms}\n      sweep: {supply"
)
BY_HAND = (
    ("      sweep: {supply", FILL),
    ("hand:\n", "hand:\n  upper.fill: fill_by_hand\n"),
    ("  hand_key: {", "  fill_by_hand: {kind: switch}\n  hand_key: {"),
)
IN_TEST = (("      sweep: {supply", FILL), ("valves: [upper.mist,", "valves: [upper.fill, upper.mist,"))


@pytest.mark.parametrize("edits", [BY_HAND, IN_TEST], ids=["by hand", "in a test"])
def test_a_valve_that_only_a_person_opens_is_guarded_like_others(edits: Sequence[tuple[str, str]]) -> None:
    text = TEXTS["hand"]
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    names = {row.name for row in watched(read_text(text)).required}
    guards = {"cut_by_trip", "cut_by_sweep_air", "not_into_shut_outlet", "not_with_drain", "shortest_open"}
    assert {f"upper.fill.{name}" for name in (*guards, "shut_elsewhere")} <= names
    assert "upper.fill.never_open" not in names
    assert "lower.fill.never_open" in names
