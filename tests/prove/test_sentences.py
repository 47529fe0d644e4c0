"""A sentence says what is checked: in which scan, and what a power cut does to it."""

from __future__ import annotations

from collections.abc import Sequence

import attrs
import pytest

from steadfall.plan.model import Call, EveryOpening, Exclusive, Permissive, Plan, Ramp, Trip
from steadfall.plan.model.condition import Always, And, Condition, Held, InStage, Not, Signal
from steadfall.plan.read.whole import read_text
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import PROVED, REFUTED, Verdict
from steadfall.prove.decide.simulation import Simulated, simulate
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.runs.player import Interpreter
from steadfall.runs.run import Step, run_of
from tests.logic import plans as small
from tests.prove.plans import DEMO, guarded

MIST, SWEEP, DRAIN, TRIPPED = (
    Signal(name) for name in ("upper.mist", "upper.sweep", "upper.drain", "tripped")
)
RESET = Signal("reset_button")
RUNS = 12


def required(of: Watched, name: str) -> Required:
    return next(row for row in of.required if row.name == name)


def verdict_on(plan: Plan, name: str, *phrases: str) -> Verdict:
    of = watched(plan, None, read_faults(plan, phrases))
    return decide(of, required(of, name), Ask(effort=40_000_000), Simulated())


def tripping(when: Condition, reset: Condition = RESET) -> Plan:
    return attrs.evolve(guarded(), trips=(Trip("fault", when, reset),))


def needing(needs: Condition, *requirements: object) -> Plan:
    only = Permissive("interlock", needs, ("upper.sweep",), False)
    return attrs.evolve(guarded(*requirements), permissives=(only,))


def test_a_permissive_that_names_a_valve_speaks_of_the_scan_before() -> None:
    plan = needing(Not(MIST), Exclusive((MIST, SWEEP), ""))
    of = watched(plan)
    said = required(of, "upper.sweep.cut_by_interlock")
    assert said.sentence == (
        "upper.sweep is open only in scans in which upper.mist was shut in the scan before ('interlock')."
    )
    assert verdict_on(plan, said.name).verdict == PROVED
    # The two open together at the beginning of a dose: this sentence looks at one scan.
    assert required(of, "stated.1").sentence == (
        "At most one of these at a time: upper.mist is open; upper.sweep is open."
    )
    assert verdict_on(plan, "stated.1").verdict == REFUTED


SEEN: dict[str, tuple[Condition, str]] = {
    "valve": (MIST, "upper.mist was open in the scan before"),
    "valve, held": (Held(MIST, 200), "upper.mist was open in the scan before, for 200 ms"),
    "stage": (InStage("upper", "full"), "upper was in full in the scan before"),
    "no stage": (Not(InStage("upper", "full")), "upper was not in full in the scan before"),
    "input": (Signal("fault"), "fault is on"),
    "both": (And((Signal("fault"), SWEEP)), "fault is on and upper.sweep was open in the scan before"),
}


@pytest.mark.parametrize("name", SEEN)
def test_a_trip_says_in_which_scan_it_sees_what(name: str) -> None:
    when, words = SEEN[name]
    (said,) = (row for row in watched(tripping(when)).required if row.name == "trip.fault.latches")
    assert said.sentence == f"'fault' trips in the scan in which {words}, and stays until reset_button is on."


def test_a_reset_sees_what_had_tripped_before() -> None:
    plan = tripping(Signal("fault"), And((RESET, TRIPPED)))
    found = verdict_on(plan, "trip.fault.latches")
    assert "until reset_button is on and something has tripped in the scan before." in found.required.sentence
    assert found.verdict == PROVED


def test_a_climb_says_in_which_scan_it_sees_a_valve() -> None:
    stages = (attrs.evolve(small.STAGES[0], climb=Not(MIST)), *small.STAGES[1:])
    kind = small.circuit_type(stages)
    said = required(watched(small.plan(kind)), "upper.dosing.climbs").sentence
    assert said.endswith("when, and only when, a call allows it and upper.mist was shut in the scan before.")


def ramped(trips: Sequence[Trip] = (), permissives: Sequence[Permissive] = ()) -> Plan:
    ramp = Ramp("fall", "heat", Signal("full_call"), 0.5, 323.15, 10.0)
    made = small.plan(ramps=(ramp,), trips=trips, permissives=permissives)
    return attrs.evolve(made, calls=made.calls)


def test_a_trip_on_a_ramp_sees_it_as_the_scan_before_left_it() -> None:
    of = watched(ramped(trips=(Trip("fault", small.above("fall", 90.0), RESET),)))
    said = required(of, "trip.fault.latches")
    assert said.sentence == (
        "'fault' trips in the scan in which fall was above 90 % in the scan before, "
        "and stays until reset_button is on."
    )
    seen = simulate(of, [said], RUNS)[said.name]
    assert seen.witness is not None
    assert seen.violation is None


def test_ramps_may_be_written_in_either_order() -> None:
    one = Ramp("first", "heat", Signal("full_call"), 0.5, 323.15, 10.0)
    two = Ramp("second", "heat", small.above("first", 50.0), 0.5, 323.15, 10.0)
    there, back = (small.plan(ramps=order) for order in ((one, two), (two, one)))
    nodes = [{row.name: row.node for row in watched(plan).network.assignments} for plan in (there, back)]
    assert nodes[0] == nodes[1]


POWER = "power cut"


def test_a_shortest_opening_says_that_power_may_end_it() -> None:
    plan = guarded(shortest_open_ms=50, shortest_shut_ms=50)
    found = verdict_on(plan, "upper.mist.shortest_open", POWER)
    assert found.verdict == PROVED
    assert found.required.sentence.endswith("unless a permissive, a trip or a power cut ends it.")


def test_a_stated_shortest_opening_does_not_outlive_a_power_cut() -> None:
    plan = guarded(EveryOpening("upper.mist", 50, None, True, ""), shortest_open_ms=50)
    assert verdict_on(plan, "stated.1").verdict == PROVED
    found = verdict_on(plan, "stated.1", POWER)
    assert found.verdict == REFUTED
    assert found.way is not None
    assert found.way.cuts


def test_a_pause_is_counted_from_the_power_cut_that_begins_it() -> None:
    """No scan sees the valve shut: power goes while it is open, and 3 s after it is back it opens again."""
    stages = (small.stage("dry", small.after(3000), sweep=small.OPEN), small.stage("full", mist=small.OPEN))
    mist, calls = small.valve("mist", shortest_shut_ms=5000), [Call(Always(True), "full", ("upper",))]
    plan = small.plan(small.circuit_type(stages, (), (mist, small.SWEEP, small.DRAIN)), calls=calls)
    found = verdict_on(plan, "upper.mist.shortest_shut", POWER)
    assert found.verdict == REFUTED
    assert found.way is not None
    assert len(found.way.cuts) == 1


def test_every_power_up_is_one() -> None:
    """The second of two power-ups is looked at too."""
    plan = guarded()
    of = watched(plan, None, read_faults(plan, [POWER]))
    row = required(of, "upper.begins")
    cuts = run_of([Step(0), Step(10), Step(0, {}, 500), Step(10)])
    seen = [played.values[row.exercised] for played in Interpreter(of.network).play(cuts)]
    assert seen == [True, False, False, True]


def test_what_looks_at_the_scan_before_says_that_power_lasts() -> None:
    plan = guarded(shortest_open_ms=50)
    bare = {row.name: row.sentence for row in watched(plan).required}
    cut = {row.name: row.sentence for row in watched(plan, None, read_faults(plan, [POWER])).required}
    told = {name for name in bare if cut[name] != bare[name]} - {"upper.reaches_idle"}
    assert cut["upper.reaches_idle"] == bare["upper.reaches_idle"].removesuffix(".") + ", or after power-up."
    assert all(cut[name] == bare[name].removesuffix(".") + ", unless power is cut." for name in told)
    assert {"upper.dosing.climbs", "upper.no_stage_skipped", "upper.finish_in_order"} <= told
    assert not {"upper.mist.at_rest", "upper.mist.cut_by_trip", "upper.mist.shortest_open"} & told


@pytest.mark.parametrize("delay", [20, 120])
def test_a_delayed_first_dose_is_excused_by_its_shortest_pause(delay: int) -> None:
    """It comes back into its stage while the valve rests: from idle, where there is no finish."""
    stages = (small.stage("dosing", mist=small.dose(200, 400)),)
    mist = small.valve("mist", shortest_shut_ms=300)
    kind = small.circuit_type(stages, (), (mist, small.SWEEP, small.DRAIN))
    calls = (attrs.evolve(small.CALLS[1], allows="dosing", circuits=("upper", "lower")),)
    of = watched(small.plan(kind, circuits={"upper": 0, "lower": delay}, calls=calls))
    firsts = [row for row in of.required if row.name.endswith("mist_dose.begins")]
    assert len(firsts) == 2
    for row in firsts:
        found = decide(of, row, Ask(effort=40_000_000), Simulated())
        assert found.verdict == PROVED, (row.sentence, found.notes)


def test_the_press_has_sentences_of_this_scan_only() -> None:
    """Its guards and climbs look at inputs; only limit switches look back."""
    plan = read_text(DEMO.read_text(encoding="utf-8"), "press.yaml")
    late = [row.name for row in watched(plan).required if "scan before" in row.sentence]
    assert late == ["upper.flood.disagreement_seen", "lower.flood.disagreement_seen"]
