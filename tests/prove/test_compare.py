"""Two controllers side by side, output by output."""

from __future__ import annotations

from collections.abc import Mapping

import attrs
import pytest

from steadfall.logic.build.whole import build
from steadfall.plan.model import Call, Plan
from steadfall.plan.read.whole import read_text
from steadfall.plan.revise.renames import Renamed, names_of
from steadfall.prove.compare import days
from steadfall.prove.compare.compare import How, compare, compare_plans
from steadfall.prove.compare.compared import EQUAL, PARTS, SECOND, STAGE, Comparison
from steadfall.prove.compare.equal import by_claims, by_correspondence
from steadfall.prove.compare.partings import Apart, by_spreading, partings
from steadfall.prove.compare.side_by_side import Pair
from steadfall.prove.decide.processes import Hands
from steadfall.prove.lemmas.found import NAME
from steadfall.prove.solver.budget import Budget
from steadfall.scan.interpreter import Scanner
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import structured_text
from tests.logic import plans as small
from tests.plan.paths import GOOD
from tests.prove.any_plan import any_text
from tests.prove.plans import guarded
from tests.prove.revisions import press, revised

ALL = ("upper.mist", "upper.sweep", "upper.drain")


def with_finish(plan: Plan, for_ms: int) -> Plan:
    kind = plan.circuit_types["coil"]
    first, *rest = kind.finish
    return with_type(plan, finish=(attrs.evolve(first, for_ms=for_ms), *rest))


def with_type(plan: Plan, **changes: object) -> Plan:
    kind = attrs.evolve(plan.circuit_types["coil"], **changes)  # type: ignore[arg-type]
    return attrs.evolve(plan, circuit_types={"coil": kind})


def last_year() -> Plan:
    return guarded(shortest_open_ms=50)


def replayed(one: Plan, two: Plan, found: Comparison) -> Mapping[str, bool]:
    """What differs in the last scan of the parting, by the interpreter on each network alone."""
    assert found.parting is not None
    runs = [Scanner(build(plan)) for plan in (one, two)]
    values = []
    for run in runs:
        known = {row.name for row in run.network.inputs}
        for step in found.parting.run.steps():
            last = run.scan(step.dt_ms, {name: value for name, value in step.inputs.items() if name in known})
        values.append({name: bool(last[name]) for name in found.outputs})
    return {name: values[0][name] != values[1][name] for name in found.outputs}


def test_a_plan_equals_itself_for_ever() -> None:
    plan = last_year()
    found = compare(plan, build(plan), build(plan), How(40_000_000))
    assert found.verdict == EQUAL
    assert found.rechecked
    assert found.outputs == ALL


def test_a_plan_and_its_own_text_are_proved_equal_before_any_run_is_made(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = structured_text(plan := press())
    monkeypatch.delattr(days, "first")
    found = compare(plan, build(plan), read_st(made.text, "press.st", made.names))
    assert found.verdict == EQUAL
    assert found.rechecked


def test_a_stage_that_has_the_name_of_a_valve_is_renamed_alone() -> None:
    def called(name: str) -> Plan:
        first, *rest = last_year().circuit_types["coil"].stages
        return with_type(last_year(), stages=(attrs.evolve(first, name=name), *rest))

    names = names_of([Renamed("stage", "upper.mist", "upper.gentle")])
    found = compare_plans(called("mist"), called("gentle"), How(40_000_000), names)
    assert found.names.in_second("upper.mist") == "upper.mist"
    assert {row.name: row.verdict for row in found.each} == dict.fromkeys((*ALL, "upper.stage"), EQUAL)


def test_a_longer_finish_step_parts_when_the_shorter_one_is_over() -> None:
    plan = last_year()
    found = compare_plans(plan, with_finish(plan, 50), How(20_000_000))
    assert found.verdict == PARTS
    assert found.trace is not None
    # Begun at power-up; the first says 40 ms, the second 50 ms, each seen at most a scan of 40 ms later.
    assert 40 <= found.trace.end_ms < 50 + 40
    assert set(found.differing) == {"upper.sweep", "upper.drain", "upper.stage"}


def test_what_stays_the_same_is_proved_in_spite_of_the_change() -> None:
    one, two = last_year(), with_finish(last_year(), 50)
    found = compare_plans(one, two, How(20_000_000))
    assert found.named(PARTS) == ("upper.sweep", "upper.drain")
    (mist,) = [row for row in found.each if row.name == "upper.mist"]
    assert (mist.verdict, mist.rechecked) == (EQUAL, True)
    assert [name for name, apart in replayed(one, two, found).items() if apart] == [
        "upper.sweep",
        "upper.drain",
    ]


@pytest.mark.parametrize(
    ("seed", "old", "new", "names"),
    [
        (8030, "shut: 1340 ms", "shut: 1390 ms", ["upper.flood", "upper.sweep", "upper.drain"]),
        (8065, "{open: 460 ms, shut: 1020", "{open: 450 ms, shut: 1020", ["pump"]),
    ],
)  # a valve test, which a dose that lasts on could hold up; a pump that runs on
def test_a_dose_that_was_changed_is_of_no_consequence_elsewhere(
    seed: int, old: str, new: str, names: list[str]
) -> None:
    text = any_text(seed)
    assert old in text
    one, two = read_text(text, "one.yaml"), read_text(text.replace(old, new), "two.yaml")
    pair = Pair(one, build(one), build(two), one.scan.longest_ms)
    assert not by_correspondence(pair, names, Budget(10_000_000), Hands())
    found = by_claims(pair, names, Budget(100_000_000), Hands())
    assert found == dict.fromkeys(names, (NAME, True))


def test_outputs_that_part_on_rigs_of_their_own_are_shortened_each_on_its_own() -> None:
    one, two, ways = last_year(), with_finish(last_year(), 50), dict[str, Apart]()
    pair = Pair(one, build(one), build(two), one.scan.longest_ms)
    for name in ("upper.sweep", "upper.drain"):  # as one after the other is found
        ways |= by_spreading(pair, [name], Hands())
    found = partings(pair, ways, Hands())
    assert {name: 40 <= one.at_ms < 50 + 40 for name, one in found.items()} == dict.fromkeys(ways, True)
    assert len(found) == 2


def test_an_output_that_only_one_has_is_listed() -> None:
    plan = guarded()
    network = build(plan)
    found = compare(plan, network, attrs.evolve(network, outputs=network.outputs[:-1]), How(40_000_000))
    assert found.first_only == ("upper.drain",)
    assert found.verdict == EQUAL
    assert not found.good


def test_a_stage_that_is_added_shifts_numbers_and_not_names() -> None:
    plan = last_year()
    stages = plan.circuit_types["coil"].stages
    same = small.stage("more", small.after(50), sweep=small.OPEN, mist=small.OPEN)  # as the stage after it
    found = compare_plans(plan, with_type(plan, stages=(stages[0], same, *stages[1:])), How(20_000_000))
    (stage,) = [row for row in found.each if row.kind == STAGE]
    assert stage.parting is not None
    # 600 ms in the first stage; then one has the stage 'more' and the other 'soaking', and nothing differs
    # yet.
    assert 600 <= stage.parting.at_ms < 640
    assert {row.verdict for row in found.valves if row.name == "upper.drain"} == {EQUAL}
    assert found.trace is not None
    assert f"upper.stage{SECOND}" in found.trace.tracks


def test_a_call_that_only_one_knows_is_told_and_without_it_all_is_equal() -> None:
    one = last_year()
    inputs = {**one.inputs, "night_call": attrs.evolve(one.inputs["gentle_call"], name="night_call")}
    two = attrs.evolve(
        one, inputs=inputs, calls=(*one.calls, Call(small.on("night_call"), "dosing", ("upper",)))
    )
    found = compare_plans(one, two, How(20_000_000))
    assert found.verdict == PARTS
    assert found.inputs_second_only == ("night_call",)
    (held,) = found.held
    assert held.signals == (("night_call", False),)
    assert set(held.equal) == set(found.named(PARTS))
    assert held.rechecked
    assert any(replayed(one, two, found).values())


def test_a_permissive_that_is_dropped_changes_nothing_while_it_would_hold() -> None:
    one = last_year()
    found = compare_plans(one, attrs.evolve(one, permissives=()), How(20_000_000))
    assert found.verdict == PARTS
    assert [(row.signals, row.equal) for row in found.held] == [((("air_ok", True),), ALL)]


def test_the_answer_is_mirrored_when_the_plans_change_places() -> None:
    one, two = last_year(), with_finish(last_year(), 50)
    two = attrs.evolve(two, permissives=())
    here, there = compare_plans(one, two, How(20_000_000)), compare_plans(two, one, How(20_000_000))
    assert [(row.name, row.verdict, row.parting and row.parting.at_ms) for row in here.each] == [
        (row.name, row.verdict, row.parting and row.parting.at_ms) for row in there.each
    ]
    assert (here.first_only, here.second_only) == (there.second_only, there.first_only)
    assert {row.signals for row in here.held} == {row.signals for row in there.held}
    assert here.trace is not None
    assert there.trace is not None
    end = here.trace.end_ms
    for name in here.differing:
        assert here.trace.at(name, end) == there.trace.at(name + SECOND, end)
        assert here.trace.at(name + SECOND, end) == there.trace.at(name, end)
    assert replayed(one, two, here) == replayed(two, one, there)


def test_mirrored_names_are_those_of_the_plan_that_comes_first() -> None:
    here, there = (
        compare_plans(press(), revised("valve renamed")),
        compare_plans(revised("valve renamed"), press()),
    )
    assert here.outputs[0] == "upper.mist"
    assert there.outputs[0] == "upper.spray"
    assert [(row.second, row.first) for row in here.names.rows] == [
        (row.first, row.second) for row in there.names.rows
    ]


WORDING = {  # what follows from the wording of the two, with nothing to search for
    "stage renamed": ((), ()),
    "valve added": ((), ("upper.vent", "lower.vent")),
    "valve renamed": ((), ()),
    "circuit added": ((), ("edge.mist", "edge.flood", "edge.sweep", "edge.drain", "edge.drain.energised")),
    "circuit renamed": ((), ()),
    "input renamed": ((), ()),
    "trip reworded": ((), ()),
    "splice heavier": ((), ()),
    "words alone": ((), ()),
}


@pytest.mark.parametrize("name", WORDING)
def test_revisions_that_leave_all_that_both_have_as_it_was(name: str) -> None:
    found = compare_plans(press(), revised(name))
    assert (found.verdict, found.rechecked) == (EQUAL, True)
    assert (found.first_only, found.second_only) == WORDING[name]
    assert found.good == (not found.second_only)


@pytest.mark.slow
def test_a_stage_that_is_added_is_told_where_it_begins() -> None:
    text = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")
    full = "      - {name: full, flood: open}\n"
    more = "      - {name: long_doses, sweep: open, mist: {open: 1.2 s, shut: 1 s}, climb: after 60 s}\n"
    assert full in text
    found = compare_plans(read_text(text), read_text(text.replace(full, more + full)))
    assert found.verdict == PARTS
    at_ms = {row.name: row.parting.at_ms for row in found.each if row.parting}
    assert set(at_ms) >= set(found.outputs)
    assert 45_000 <= min(at_ms.values()) <= at_ms["upper.stage"] < 45_080  # 45 s in the stage before
    assert 46_600 <= at_ms["lower.mist"] < 46_700  # its doses come 1.6 s later


def test_an_input_of_another_kind_is_another_input() -> None:
    pair = Pair(press(), build(press()), build(revised("input of another kind")), 40)
    assert {"full_call", f"full_call{SECOND}"} <= {row.name for row in pair.whole.inputs}
