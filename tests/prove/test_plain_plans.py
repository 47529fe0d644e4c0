"""What follows from plans that lack something: a valve that nothing opens, one stage, a permissive of one
valve.
"""

from __future__ import annotations

import random

import attrs

from steadfall.logic.build.whole import build
from steadfall.logic.forms import at_least, whole
from steadfall.logic.nodes import Read, Type
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import PROVED, REFUTED
from steadfall.prove.requirements.whole import watched
from steadfall.prove.whole.run import prove
from tests.plan.paths import GOOD
from tests.scan.machine import Machine

ASK = Ask(effort=120_000_000)


def plan(name: str) -> Plan:
    return read_file(next(path for path in GOOD if path.stem == name))


def test_of_a_valve_that_nothing_opens_it_is_only_said_that_it_stays_shut() -> None:
    names = {row.name for row in watched(plan("hosts")).required if row.name.startswith("upper.mist.")}
    assert names == {"upper.mist.at_rest", "upper.mist.never_open"}


def test_one_stage_is_never_skipped() -> None:
    for name, stages in (("hosts", 1), ("small", 2)):
        said = {row.name for row in watched(plan(name)).required}
        assert ("upper.no_stage_skipped" in said) is (stages > 1)


def test_one_stage_without_a_finish_leaves_nothing_unsaid() -> None:
    """Each of its sentences applies, and is kept."""
    found = prove(plan("hosts"), ["upper"], ASK, workers=1)
    assert {row.verdict for row in found.verdicts} == {PROVED}
    assert all(row.witness for row in found.verdicts)


def test_a_controller_that_opens_it_after_all_is_told() -> None:
    hosts = plan("hosts")
    network = build(hosts)
    opens = at_least(Read("upper.stage", Type.INT), whole(1))
    rows = tuple(
        attrs.evolve(row, node=opens) if row.name == "upper.mist" else row for row in network.assignments
    )
    found = prove(hosts, ["upper.mist"], ASK, network=attrs.evolve(network, assignments=rows), workers=1)
    assert {row.required.name: row.verdict for row in found.verdicts} == {
        "upper.mist.at_rest": PROVED,
        "upper.mist.never_open": REFUTED,
    }


def test_a_dose_that_a_permissive_of_its_valve_holds_back_is_not_one_from_rest() -> None:
    """What is left of it when the permissive is back is given, and the stage has gone on meanwhile."""
    found = prove(plan("permissives"), ["lower.dosing.mist_dose.lasts"], ASK, workers=1)
    assert [row.verdict for row in found.verdicts] == [PROVED]


def test_the_pause_of_a_delayed_free_clock_may_be_two_scans_short() -> None:
    """The quickest and the slowest scans show it; by more than two of the longest it never is (80 ms
    here).
    """
    doses = plan("doses")
    one = next(row for row in watched(doses).required if row.name == "lower.second.mist_dose.pauses")
    assert "2.72 s to 3 s" in one.sentence
    network, luck, shortest = build(doses), random.Random(4), 2800
    run, opened, shut = Machine(network), False, 0
    run.scan(1, {"full_call": False, "air_pressure_ok": True})  # a call counts once it was seen off
    given: dict[str, bool] = {"full_call": True}
    for _ in range(6000):  # two minutes, in the first of which the first stage is dosed
        dt = luck.choice((1, 40))
        values = run.scan(dt, given)
        given = {}
        shut += dt
        if values["lower.mist"] and not opened and values["lower.stage"] == 2 and shut < 3500:
            shortest = min(shortest, shut)
        if opened and not values["lower.mist"]:
            shut = 0
        opened = bool(values["lower.mist"])
    assert 2720 <= shortest < 2800
