"""What a person does at the panel, a plan against its own text: equal, and each fault in the text found."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.plan.read.whole import read_text
from steadfall.prove.compare.compare import compare
from steadfall.prove.compare.compared import EQUAL, PARTS, SECOND, Comparison
from steadfall.scan.interpreter import Scanner
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import structured_text

PLAN = read_text("""
steadfall: 1
title: One valve and a drain, with a person at the panel
scan: {nominal: 20 ms, longest: 40 ms, timer_step: 10 ms}
supplies: {works_water: {fluid: water}}
circuit_types:
  plate_circuit:
    valves: {mist: {supply: works_water}, drain: {opens: outlet_bypass}}
    stages:
      - {name: soaking, mist: open, climb: after 200 ms}
      - {name: full, mist: open, drain: open}
    finish: []
circuits: {plate: {type: plate_circuit}}
inputs:
  call: {kind: switch}
  hold_switch: {kind: switch}
  step_button: {kind: button}
  hand_key: {kind: switch}
  mist_button: {kind: button}
  test_button: {kind: button}
calls: [{when: call, allows: full}]
restart: by itself
hold: {while: hold_switch}
step_on: [{button: step_button, from: [soaking]}]
hand: {while: hand_key, plate.mist: mist_button}
test: {start: test_button, valves: [mist], for: 100 ms, pause: 100 ms}
""")
EMITTED = structured_text(PLAN)

# What is wrong in the text: what stands there, what stands in its place, an output that it moves.
FAULTS: Mapping[str, tuple[str, str, str]] = {
    "a hold does not hold": (" AND (NOT on_hold);", ";", "plate.drain"),
    "a step takes all that is held": (" AND (NOT step_button_pressed_last)", "", "plate.drain"),
    "the key ends no call": (" OR in_hand) OR in_test", ") OR in_test", "plate.mist"),
    "the key off lets a valve go on": ("ELSIF hand_ready", "ELSIF TRUE", "plate.mist"),
    "a call ends no test": ("test_off := call OR ", "test_off := ", "plate.mist"),
}  # fmt: skip


def read(text: str) -> Network:
    return read_st(text, "controller.st", EMITTED.names)


def apart(found: Comparison, other: Network) -> set[str]:
    """What differs in the last scan of the parting, by the interpreter on each alone."""
    assert found.parting is not None
    ends = []
    for network in (build(PLAN), other):
        scanner = Scanner(network)
        for step in found.parting.run.steps():
            scanner.scan(step.dt_ms, step.inputs)
        ends.append([scanner.values[name] for name in found.outputs])
    return {name for name, one, two in zip(found.outputs, *ends, strict=True) if one != two}


def test_hold_step_hand_and_test_equal_their_own_text() -> None:
    found = compare(PLAN, build(PLAN), read(EMITTED.text))
    assert (found.verdict, found.rechecked) == (EQUAL, True)


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_in_the_text_is_found_with_its_strip(fault: str) -> None:
    old, new, moved = FAULTS[fault]
    assert EMITTED.text.count(old) == 1
    other = read(EMITTED.text.replace(old, new))
    found = compare(PLAN, build(PLAN), other)
    assert found.verdict == PARTS
    assert moved in found.named(PARTS)
    assert found.parting is not None
    assert apart(found, other) == set(found.parting.differing)
    shown = found.parting.trace
    (first,) = found.parting.differing[:1]
    assert shown.at(first, shown.end_ms) != shown.at(f"{first}{SECOND}", shown.end_ms)
