"""Outputs that hang on a dose by where it has come to rest alone: equal, though the dose is another."""

from __future__ import annotations

from steadfall.logic.build.whole import build
from steadfall.plan.read.whole import read_text
from steadfall.prove.compare.equal import by_claims, by_correspondence
from steadfall.prove.compare.side_by_side import Pair
from steadfall.prove.decide.processes import Hands
from steadfall.prove.solver.budget import Budget
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import structured_text

PLAN = read_text("""
steadfall: 1
title: A dose that must be at rest before a test of valves begins or ends
scan: {nominal: 20 ms, longest: 40 ms, timer_step: 10 ms}
supplies: {works_water: {fluid: water}}
circuit_types:
  plate_circuit:
    valves:
      mist: {supply: works_water, shortest_open: 300 ms, shortest_shut: 300 ms}
      drain: {opens: outlet_bypass}
    stages: [{name: dosing, mist: {open: 800 ms, shut: 2400 ms}, climb: after 30 s}, {name: full, mist: open}]
    finish: [{name: emptying, drain: open, for: 20 s}]
circuits: {plate: {type: plate_circuit}}
inputs:
  call: {kind: switch}
  hand_key: {kind: switch}
  mist_button: {kind: button}
  test_button: {kind: button}
calls: [{when: call, allows: full}]
hand: {while: hand_key, plate.mist: mist_button}
test: {start: test_button, valves: [mist], for: 3 s, pause: 2 s}
outputs: {hand_lamp: {on: in_hand}, test_lamp: {on: in_test}}
""")
TEXT = structured_text(PLAN)


def against(old: str, new: str) -> Pair:
    assert TEXT.text.count(old) == 1
    other = read_st(TEXT.text.replace(old, new), "controller.st", TEXT.names)
    return Pair(PLAN, build(PLAN), other, PLAN.scan.longest_ms)


def test_what_waits_for_a_valve_at_rest_is_equal_in_spite_of_another_dose() -> None:
    names, budget = ["plate.drain", "hand_lamp", "test_lamp"], Budget(40_000_000)
    pair = against("T#800ms", "T#850ms")
    assert not by_correspondence(pair, names, budget, Hands())
    assert by_claims(pair, names, budget, Hands()) == dict.fromkeys(names, ("lemmas", True))


def test_a_difference_that_is_there_is_not_proved_away() -> None:
    """A finish that is longer moves the drain, and what begins in idle: hand mode, the test and its valve."""
    pair = against("T#20s", "T#20s10ms")
    names = ["plate.mist", "plate.drain", "hand_lamp", "test_lamp"]
    assert not set(by_claims(pair, names, Budget(2_000_000), Hands())) & {*names}
