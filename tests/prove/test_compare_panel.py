"""What a person does at the panel, a plan against its own text: equal, and each fault in the text found."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.prove.compare.compare import compare
from steadfall.prove.compare.compared import EQUAL, PARTS, SECOND, Comparison
from steadfall.prove.compare.side_by_side import Pair, parted
from steadfall.prove.compare.spreading import STEPS, spreading
from steadfall.report.words.comparison import circuits
from steadfall.scan.interpreter import Scanner
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import Emitted, structured_text

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
    "the key ends no call": (" OR in_hand OR in_test", " OR in_test", "plate.mist"),
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


SET = read_text("""
steadfall: 1
title: A valve with a first dose that is set, a lamp and a main valve
scan: {nominal: 20 ms, longest: 40 ms, timer_step: 10 ms}
supplies: {works_water: {fluid: water}}
valves: {main: {in: works_water, lag: 1 s}}
settings: {first_dose: {default: 400 ms, adjustable: 300 ms .. 1 s}}
circuit_types:
  plate_circuit:
    valves: {mist: {supply: works_water, shortest_open: 300 ms, shortest_shut: 200 ms}}
    stages:
      - {name: dosing, mist: {open: first_dose, shut: 2 s}, climb: after 30 s}
      - {name: full, mist: open}
    finish: [{name: waiting, for: 90 s}]
circuits: {plate: {type: plate_circuit}}
inputs: {call: {kind: switch}}
calls: [{when: call, allows: full}]
restart: by itself
outputs: {lamp: {on: running, flashes: 500 ms}}
""")
SET_TEXT = structured_text(SET)
HAND = read_text("""
steadfall: 1
title: A valve that is moved by hand behind a main valve that takes its time
scan: {nominal: 20 ms, longest: 40 ms, timer_step: 10 ms}
supplies: {works_water: {fluid: water}}
valves: {main: {in: works_water, lead: 5 s, lag: 1 s}}
circuit_types:
  plate_circuit:
    valves: {mist: {supply: works_water, shortest_open: 300 ms, shortest_shut: 200 ms}}
    stages: [{name: dosing, mist: {open: 400 ms, shut: 2 s}}]
    finish: [{name: waiting, for: 90 s}]
circuits: {plate: {type: plate_circuit}}
inputs: {call: {kind: switch}, hand_key: {kind: switch}, mist_button: {kind: button}}
calls: [{when: call, allows: dosing}]
hand: {while: hand_key, plate.mist: mist_button}
outputs: {lamp: {on: in_hand, flashes: 500 ms}}
""")
BY_HAND = structured_text(HAND)
STARTED = read_text("""
steadfall: 1
title: Buttons that begin and end a call, behind a main valve that takes its time
scan: {nominal: 20 ms, longest: 40 ms, timer_step: 10 ms}
supplies: {works_water: {fluid: water}}
valves: {main: {in: works_water, lead: 2 s, lag: 5 s}}
circuit_types:
  plate_circuit:
    valves:
      mist: {supply: works_water, shortest_open: 300 ms, shortest_shut: 200 ms}
      flood: {supply: works_water}
      drain: {opens: outlet_bypass}
    stages: [{name: dosing, mist: {open: 400 ms, shut: 2 s}, climb: after 30 s}, {name: full, flood: open}]
    finish: [{name: emptying, drain: open, for: 60 s}]
circuits: {plate: {type: plate_circuit}}
inputs:
  start_button: {kind: button}
  stop_button: {kind: button, normal: on}
  hand_key: {kind: switch}
  drain_button: {kind: button}
  test_button: {kind: button}
calls: [{start: start_button, stop: stop_button, allows: full}]
hand: {while: hand_key, plate.drain: drain_button}
test: {start: test_button, valves: [mist], for: 1 s, pause: 3 s}
outputs: {hand_lamp: {on: in_hand, flashes: 1 s}, test_lamp: {on: in_test}}
""")
BY_BUTTON = structured_text(STARTED)


def compared(old: str, new: str, most: int = 9) -> Comparison:
    text = SET_TEXT.text.replace(old, new, most)
    assert text != SET_TEXT.text
    return compare(SET, build(SET), read_st(text, "controller.st", SET_TEXT.names))


def parts(plan: Plan, text: Emitted, old: str, new: str, steps: int = STEPS) -> set[str]:
    """The outputs that part from a text with a change, by runs of so many steps that follow a difference."""
    other = read_st(text.text.replace(old, new, 1), "controller.st", text.names)
    pair = Pair(plan, build(plan), other, plan.scan.longest_ms)
    found, apart = set[str](), [parted(name) for name in pair.asked]
    for of, run in spreading(pair, pair.asked, steps):
        scans = zip(pair.asked, of.fast.first(run, apart), strict=True)
        found |= {name for name, scan in scans if scan >= 0}
    return found


def test_a_default_that_no_scan_asks_after_parts_nothing() -> None:
    """Text and plan begin with other settings; from the first scan on the panel counts."""
    found = compared("T#400ms", "T#700ms")
    assert found.verdict == EQUAL
    assert found.rechecked
    assert list(circuits(found)) == ["plate: mist equal for ever", "both outputs equal for ever"]


def test_a_difference_comes_to_all_that_hangs_on_it() -> None:
    """A longer pause shows by hand alone, once the main valve is open, and in the lamp after the key."""
    assert parts(HAND, BY_HAND, "T#200ms", "T#900ms") == {"plate.mist", "main", "lamp"}


def test_a_button_that_is_pressed_is_let_go_so_that_another_one_counts() -> None:
    """Stopped in a dose that only one of the two has begun, the main valve shuts later there; called in
    between, one circuit begins at once and the other waits.
    """
    found = parts(STARTED, BY_BUTTON, "T#2s;", "T#2s100ms;", 5_000)
    assert found >= {"plate.mist", "plate.flood", "plate.drain", "main"}


def test_lamps_without_a_clock_of_their_own_are_followed_with_the_valves(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A circuit that still waits idles at once, and another one that has begun does not: so hand mode and the
    valve test begin apart.
    """
    monkeypatch.setattr("steadfall.prove.compare.spreading.LAMPS", 0)
    found = parts(STARTED, BY_BUTTON, "T#2s;", "T#2s100ms;", 40_000)
    assert found >= {"hand_lamp", "test_lamp"}
