"""Faults: what they change, and that a phrase which means nothing is refused."""

from __future__ import annotations

import json
import random

import attrs
import pytest

from steadfall.logic.cone import cone
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Read, Since, Type, Value
from steadfall.plan.model import Demand, Fault, Permissive, Plan
from steadfall.plan.model.condition import Held, Not, Signal
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.by_lemmas import by_lemmas
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import PROVED, REFUTED, VACUOUS, Proof, Verdict
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.whole import watched
from steadfall.prove.whole.cuts import cuts_alone
from steadfall.prove.whole.each_fault import check_names
from steadfall.prove.whole.plan import prove_whole
from steadfall.prove.whole.recheck_faults import recheck_under
from steadfall.prove.whole.run import prove
from steadfall.report.text.faults import fault_table
from steadfall.roles import Identity, Role
from steadfall.runs.player import cut_power
from steadfall.scan.interpreter import Scanner
from steadfall.source import Mark, Marks, PlanError
from tests.examples import EXAMPLES
from tests.logic import plans as small
from tests.plan.paths import GOOD
from tests.prove.plans import guarded

WATCHING = Identity(Role.OBSERVER)
PAUSE, CUT_BY_TRIP = "upper.mist.shortest_shut", "upper.mist.cut_by_trip"
SKIPPED = "upper.no_stage_skipped"
STUCK, POWER = Fault("stuck on", "fault"), Fault("power cut")
ONLY = (PAUSE, CUT_BY_TRIP, "upper.sweep", "upper.dosing.mist_dose.lasts")


def plan_with(*faults: Fault) -> Plan:
    return attrs.evolve(guarded(shortest_open_ms=50, shortest_shut_ms=50), faults=faults)


def verdict_on(name: str, *phrases: str) -> Verdict:
    plan = plan_with()
    of = watched(plan, None, read_faults(plan, phrases))
    row = next(one for one in of.required if one.name == name)
    return decide(of, row, Ask(effort=40_000_000), Simulated())


def held_against(*faults: Fault) -> Proof:
    return prove_whole(plan_with(*faults), ONLY, Ask(effort=40_000_000), workers=1)


def test_a_power_cut_breaks_the_shortest_pause_and_not_the_trip() -> None:
    assert verdict_on(PAUSE).verdict == PROVED
    found = verdict_on(PAUSE, "power cut")
    assert found.verdict == REFUTED
    assert found.way is not None
    assert found.way.cuts
    kept = verdict_on(CUT_BY_TRIP, "power cut")
    assert (kept.verdict, kept.rechecked) == (PROVED, True)


def test_a_stuck_input_narrows_what_can_be() -> None:
    assert (
        verdict_on(CUT_BY_TRIP, "fault stuck on").verdict == VACUOUS
    )  # tripped from the start: never open before
    assert verdict_on(PAUSE, "fault bounces").verdict in (PROVED, VACUOUS)


SLIPS = {
    "nonsense": "unknown-fault",
    "no_such_input stuck on": "unknown-name",
    "demand stuck on": "fault-does-not-fit",
    "fault at its lower end": "fault-does-not-fit",
}


@pytest.mark.parametrize("phrase", SLIPS)
def test_a_phrase_that_means_nothing_is_refused(phrase: str) -> None:
    with pytest.raises(PlanError, match=SLIPS[phrase]):
        read_faults(guarded(), [phrase])


def test_each_fault_of_the_plan_is_taken_alone() -> None:
    found = held_against(STUCK, POWER)
    stuck, power = found.under
    assert [row.verdict for row in found.verdicts] == [PROVED] * len(found.verdicts)
    assert len(stuck.kept) == len(found.verdicts)
    assert CUT_BY_TRIP in stuck.quiet  # tripped from the start, so the trip never cuts an opening
    assert stuck.good
    anew = {verdict.required.name for verdict in power.verdicts if verdict.verdict == PROVED}
    assert CUT_BY_TRIP in {*power.kept, *anew}
    assert [verdict.required.name for verdict in power.broken] == [PAUSE]
    assert not power.good
    assert not found.good
    assert "REFUTED upper.mist.shortest_shut" in fault_table(found)


def test_what_the_plan_lets_break_is_shown_and_does_not_fail() -> None:
    found = held_against(attrs.evolve(POWER, may_break=("upper.mist.shortest_shut",)))
    assert found.good
    assert [verdict.required.name for verdict in found.under[0].broken] == [PAUSE]
    assert "the plan lets it break" in " ".join(fault_table(found).split())
    assert found.as_json()["with_faults"][0]["broken"] == [PAUSE]


def test_what_a_cut_keeps_is_proved_with_cuts_from_the_beginning_too() -> None:
    """The short way (a cut keeps the invariant) against the long way (a new proof with cuts among the
    steps).
    """
    kept = prove_whole(plan_with(POWER), (SKIPPED, CUT_BY_TRIP), Ask(), workers=1).under[0].kept
    assert set(kept) == {SKIPPED, CUT_BY_TRIP}
    for name in kept:
        assert verdict_on(name, "power cut").verdict == PROVED


def test_what_a_cut_keeps_is_listed_as_it_holds_with_cuts() -> None:
    row = prove_whole(plan_with(POWER), (SKIPPED, CUT_BY_TRIP), Ask(), workers=1).under[0]
    said = dict(zip(row.kept, row.as_json()["sentences"], strict=True))
    assert said[SKIPPED].endswith(", unless power is cut.")
    assert said[CUT_BY_TRIP] == verdict_on(CUT_BY_TRIP).required.sentence


def test_only_cuts_are_left_among_the_steps() -> None:
    plan = plan_with()
    part = cuts_alone(watched(plan, None, read_faults(plan, ["power cut"])).model(watched(plan).network))
    assert str(part.post["last:upper.stage"]) == "4"  # the first step of the finish, whatever it was


def test_stored_verdicts_with_faults_are_checked_again() -> None:
    plan, found = plan_with(STUCK, POWER), held_against(STUCK, POWER)
    alone = attrs.evolve(found, under=())
    stored = json.loads(json.dumps(found.as_json()))
    again = recheck_under(plan, None, stored, alone)
    assert again.differences == ()
    assert [row.good for row in again.under] == [True, False]
    assert again.under[1].kept == found.under[1].kept
    stored["with_faults"][1]["kept"].append(PAUSE)  # forged: a power cut breaks it
    forged = recheck_under(plan, None, stored, alone)
    assert PAUSE not in forged.under[1].kept
    assert PAUSE in [verdict.required.name for verdict in forged.under[1].broken]
    assert any(f"with power cut: stored more than once: '{PAUSE}'" in row for row in forged.differences)


def test_what_may_break_is_the_name_of_a_requirement() -> None:
    place = Marks(Mark("plan.yaml", 7, 3), {"may_break.0": Mark("plan.yaml", 7, 30)})
    plan = plan_with(Fault("power cut", may_break=("upper.mist.shortest_pause",), at=place))
    with pytest.raises(
        PlanError, match=r"plan.yaml:7:30: may_break: 'upper.mist.shortest_pause' is no requirement"
    ):
        check_names(watched(plan))


def test_the_time_without_power_counts_for_what_watches() -> None:
    rows = (
        Assignment("one.event", Type.BOOL, Read("button", Type.BOOL), False),
        Assignment("one:event", Type.BOOL, Read("button", Type.BOOL), False, identity=WATCHING),
        Assignment("one:age", Type.TIME, Since("one:event", 1000), 1000, identity=WATCHING),
    )
    run = Scanner(Network((Input("button", Type.BOOL),), rows, ()))
    run.scan(0, {"button": True})
    cut_power(run, 440)
    assert run.scan(0, {"button": False})["one:age"] == 440
    assert run.scan(40, {})["one:age"] == 480


def test_what_trips_for_a_time_trips_for_a_reason_though_power_is_cut() -> None:
    """After a cut the controller counts anew, its observer goes on: the one is never ahead of the other."""
    plan = read_file(next(path for path in GOOD if path.stem == "bad_sensors"))
    name, cut = "tripped.for_a_reason", read_faults(plan, ["power cut"])
    of = watched(plan, None, cut)
    rows = [row for row in of.required if row.name == name]
    found = by_lemmas(of, rows, Ask(effort=5_000_000), Hands())
    assert found[name].rechecked


def test_a_power_cut_spares_what_an_observer_counts_for_a_condition() -> None:
    """Whatever its name: that of a permissive's own timer is made from the valve's name and the title."""
    own = Permissive("no long fault", Not(Held(Signal("fault"), 200)), ("upper.mist",), False)
    plan = attrs.evolve(plan_with(), permissives=(own,))
    of = watched(plan)
    name = next(one for one in of.network.types if "cut_by_no_long_fault.held" in one)
    run = Scanner(cone(of.network, [name]))
    run.scan(0, {"fault": True})
    run.scan(150, {})
    cut_power(run, 1000)
    run.scan(0, {})
    assert run.scan(60, {})[name] is True


def test_no_run_with_power_cuts_breaks_what_is_proved_with_them() -> None:
    """The interpreter, its power cut at any moment, against the proof; and it does break what was refuted."""
    found = held_against(POWER).under[0]
    of = watched(plan_with(POWER))
    rows = [row for row in of.required if row.name in found.kept]
    pause = next(row for row in of.required if row.name == PAUSE)
    part = cone(of.network, [row.bad for row in (*rows, pause)])
    broken: set[str] = set()
    for seed in range(15):
        luck, run = random.Random(seed), Scanner(part)
        inputs = {row.name: False for row in part.inputs if row.type is Type.BOOL} | {"air_ok": True}
        for _ in range(120):
            if luck.random() < 0.05 and not run.first:
                cut_power(run, luck.choice((0, 1, 20, 3000)))
            name = luck.choice(list(inputs))
            inputs[name] = (not inputs[name]) if luck.random() < 0.1 else inputs[name]
            values = run.scan(luck.randint(1, 40), inputs)
            broken |= {row.name for row in (*rows, pause) if values[row.bad]}
    assert broken == {PAUSE}


@pytest.mark.parametrize("name", ["feedback_and_faults", "hand"])
def test_what_is_said_unless_power_is_cut_no_cut_breaks(name: str) -> None:
    """However long power is off: what the controller begins anew is counted anew."""
    plan = read_file(next(path for path in GOOD if path.stem == name))
    of = watched(plan, None, read_faults(plan, ["power cut"]))
    rows = [
        row for row in of.required if row.sentence.endswith((", unless power is cut.", "after power-up."))
    ]
    part = cone(of.network, [row.bad for row in rows])
    for seed in range(6):
        luck, run = random.Random(seed), Scanner(part)
        inputs: dict[str, Value] = {row.name: False if row.type is Type.BOOL else 50.0 for row in part.inputs}
        for _ in range(250):
            if luck.random() < 0.05 and not run.first:
                cut_power(run, luck.choice((0, 1, 20, 3000, 130_000)))
            if luck.random() < 0.3:
                turned = luck.choice(list(inputs))
                switch = isinstance(inputs[turned], bool)
                inputs[turned] = not inputs[turned] if switch else luck.choice((0.0, 150.0))
            values = run.scan(luck.randint(1, 40), inputs)
            assert not [row.name for row in rows if values[row.bad]]


def test_a_finish_lasts_from_power_up_on() -> None:
    for name in ("upper.blow_out.lasts", "upper.reaches_idle"):
        found = verdict_on(name, "power cut")
        assert (found.verdict, found.rechecked) == (PROVED, True)


def test_a_pause_before_a_dose_counts_from_power_up_on() -> None:
    """As the controller's own does, so that one is not ahead of the other by what nobody can say."""
    plan, name = read_file(EXAMPLES["barrel"]), "zone_3.first_doses.mist_dose.pauses"
    faults = read_faults(plan, ["power cut"])
    (found,) = prove(plan, [name], Ask(effort=20_000_000), faults=faults, workers=1).verdicts
    assert (found.verdict, found.rechecked) == (PROVED, True)


def test_what_is_asked_of_calls_and_climbs_forgets_with_the_controller() -> None:
    """A demand between its two ends, and a climb that waits for a time, are as new after a power cut."""
    demand = Demand("demand", {"dosing": 20.0, "full": 60.0}, 5.0, ("upper",))
    first, *rest = small.STAGES
    climbing = attrs.evolve(
        first, climb=small.both(small.after(100), small.held(small.on("gentle_call"), 150))
    )
    kind = small.circuit_type((climbing, *rest))
    plan = small.plan(kind, calls=(small.CALLS[0], demand), permissives=(small.AIR_OK,), trips=(small.FAULT,))
    asked = ("upper.answers_a_call", "upper.steps_down", "upper.ends_with_its_call", "upper.dosing.climbs")
    found = prove_whole(attrs.evolve(plan, faults=(POWER,)), asked, Ask(effort=40_000_000), workers=1)
    assert [row.verdict for row in found.verdicts] == [PROVED] * len(asked)
    again = [row.required.name for row in found.under[0].verdicts if row.verdict == PROVED]
    assert {*found.under[0].kept, *again} == set(asked)
    of = watched(plan, None, read_faults(plan, ["power cut"]))
    rows = [row for row in of.required if row.name in asked]
    part = cone(of.network, [row.bad for row in rows])
    for seed in range(10):
        luck, run = random.Random(seed), Scanner(part)
        for _ in range(150):
            if luck.random() < 0.05 and not run.first:
                cut_power(run, luck.choice((0, 1, 20, 3000)))
            inputs = {"demand": luck.choice([0.0, 17.5, 25.0, 57.5, 60.0]), "air_ok": luck.random() < 0.99}
            calls = {"gentle_call": luck.random() < 0.9} if luck.random() < 0.2 else {}
            values = run.scan(luck.randint(1, 40), {**inputs, **calls} if luck.random() < 0.2 else calls)
            assert not [row.name for row in rows if values[row.bad]]
