"""What an earlier run of the program has found saves work and changes no verdict, whatever is kept of it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from steadfall.logic.cone import cone
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide import by_lemmas, portfolio
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.before import remembered
from steadfall.prove.decide.before.cache import MEMORY
from steadfall.prove.decide.lemma_set import LemmaSet, confirmed
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import PROVED
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.engines import spacer
from steadfall.prove.lemmas import found
from steadfall.prove.lemmas.carry import Made, carried
from steadfall.prove.lemmas.hints import Said
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.system.step import model
from steadfall.store import Store
from tests.examples import ROOT
from tests.prove.plans import guarded

NAMES = ("upper.mist.shortest_open", "upper.reaches_idle", "upper.blow_out.lasts", "upper.dosing.climbs")
GOOD = ROOT / "tests" / "plans" / "good"
TRIP = "trip.fault.latches"
APPLIES = Simulated({"by": "runs", "seed": 0, "scan": 0, "at_ms": 0})


def of(plan: Plan | None = None) -> Watched:
    return watched(plan or guarded(shortest_open_ms=50))


def lemmas(of: Watched, store: Store | None, **changes: Any) -> Mapping[str, Any]:
    """What lemmas settle, all but how long it took."""
    rows = [row for row in of.required if row.name in NAMES]
    settled = by_lemmas.by_lemmas(of, rows, Ask(store=store, **changes), Hands())
    return {
        name: (one.certificate.of.as_json(), one.certificate.which, one.rechecked)
        for name, one in settled.items()
    }


def trip(of: Watched, store: Store) -> tuple[str, str]:
    """The verdict on a trip and its engine."""
    return verdict(of, TRIP, store)


def verdict(of: Watched, name: str, store: Store) -> tuple[str, str]:
    """The verdict on a requirement and its engine, in a process that has just begun."""
    for known in (MEMORY.answers, MEMORY.checked, MEMORY.models):
        known.clear()
    (row,) = (row for row in of.required if row.name == name)
    shown = decide(of, row, Ask(store=store), APPLIES)
    return shown.verdict, shown.engine


def unasked(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on nothing can be searched."""
    monkeypatch.delattr(by_lemmas, "lemmas")
    monkeypatch.delattr(portfolio, "_tried")


def test_the_same_question_has_the_same_lemmas_and_is_not_searched_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store, without = Store(tmp_path), lemmas(of(), None)
    assert lemmas(of(), store) == without
    assert trip(of(), store) == (PROVED, "one step")
    unasked(monkeypatch)
    assert lemmas(of(), store) == without
    assert trip(of(), store) == (PROVED, "one step")


def test_what_one_step_alone_does_not_settle_is_not_tried_by_it_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The latch of a trip is settled by the fixed point, after one step has said nothing of it."""
    outputs, store = watched(read_file(GOOD / "outputs.yaml")), Store(tmp_path)
    assert verdict(outputs, "trip_lamp.as_told", store) == (PROVED, spacer.NAME)
    monkeypatch.delattr(portfolio, "_tried")
    assert verdict(outputs, "trip_lamp.as_told", store) == (PROVED, spacer.NAME)


def test_what_is_tried_harder_is_searched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store = Store(tmp_path)
    lemmas(of(), store)
    unasked(monkeypatch)
    with pytest.raises(NameError):
        lemmas(of(), store, effort=50_000_000)


def test_another_version_is_searched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store = Store(tmp_path)
    lemmas(of(), store)
    monkeypatch.setattr(remembered, "searchers", lambda: "another")
    unasked(monkeypatch)
    with pytest.raises(NameError):
        lemmas(of(), store)


def spoilt(value: Any) -> Iterator[Any]:
    """What a file may hold in place of what was kept: no object, its parts of other kinds, other texts."""
    yield from ([], "text", 7, {})
    for key, part in value.items():
        yield from ({**value, key: other} for other in (None, 1e300, "x", [["x"]]))
        if isinstance(part, list):
            yield from ({**value, key: other} for other in (part[:1], ["true" for _ in part], [[10**9]] * 4))
        if isinstance(part, str):
            yield from ({**value, key: other} for other in ("true", "true))(assert false"))
        if isinstance(part, int):
            yield {**value, key: 10**9}


def change(store: Store, other: Mapping[str, Any]) -> None:
    """Says something else in every file that says it."""
    for path in store.folder.iterdir():
        value = json.loads(path.read_text())
        value |= {key: part for key, part in other.items() if key in value}
        path.write_text(json.dumps(value), encoding="utf-8")


def test_what_is_spoilt_in_the_folder_changes_no_certificate(tmp_path: Path) -> None:
    """The whole folder says nothing that holds: all lemmas are `true`, an invariant is false."""
    store, without = Store(tmp_path), lemmas(of(), None)
    for key, other in (("lemmas", ["true"] * 99), ("which", [[]] * len(NAMES)), ("invariant", "false")):
        lemmas(of(), store)
        assert trip(of(), store) == (PROVED, "one step")
        change(store, {key: other, "said": []})
        assert lemmas(of(), store) == without


def test_no_file_is_taken_for_an_answer_or_ends_in_an_error(tmp_path: Path) -> None:
    store, one = Store(tmp_path), of()
    lemmas(one, store)
    rows = [row for row in one.required if row.name in NAMES]
    group = by_lemmas.group_of(one, "upper", rows)
    known = remembered.remembered(one, group.part, group.rows, Ask(store=store))
    assert known
    blank, goals = LemmaSet("upper", group.freed, (), ()), [row.bad for row in group.rows]
    part = model(group.part, one.plan.scan.longest_ms, single=True)
    assert known.recall(part, blank, goals)
    assert known.hints()
    for path in sorted(tmp_path.iterdir()):
        good = json.loads(path.read_text())
        for bad in spoilt(good):
            path.write_text(json.dumps(bad), encoding="utf-8")
            again = known.recall(part, blank, goals)
            assert again is None or len(confirmed(part, *again)) == len(goals)
            known.hints()
        path.write_text(json.dumps(good), encoding="utf-8")


def test_no_file_is_taken_for_a_certificate_or_ends_in_an_error(tmp_path: Path) -> None:
    store, one = Store(tmp_path), of()
    assert trip(one, store) == (PROVED, "one step")
    (path,) = tmp_path.iterdir()
    for bad in spoilt(json.loads(path.read_text())):
        path.write_text(json.dumps(bad), encoding="utf-8")
        assert trip(one, store) == (PROVED, "one step")


def test_an_edited_number_is_settled_by_what_was_found_for_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No sample is needed; what is found is checked as ever, and found again."""
    store, edited = Store(tmp_path), of(guarded(shortest_open_ms=60))
    lemmas(of(), store)
    with monkeypatch.context() as less:
        less.delattr(found, "sampled")
        settled = lemmas(edited, store)
    assert set(settled) == set(NAMES)
    assert all(rechecked for _, _, rechecked in settled.values())
    unasked(monkeypatch)
    assert lemmas(edited, store) == settled


def test_lemmas_are_carried_over_to_an_edited_number_without_a_search(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store(tmp_path)
    lemmas(of(), store)
    unasked(monkeypatch)
    for plan in (guarded(shortest_open_ms=60), guarded(shortest_open_ms=30, shortest_shut_ms=70)):
        settled = lemmas(of(plan), store)
        assert set(settled) == set(NAMES)
        assert all(rechecked for _, _, rechecked in settled.values())


def test_a_bound_becomes_what_the_times_make_of_it_now() -> None:
    """A time and a scan, two times and three scans, a time below; a lemma of facts alone stays."""
    before = Made({}, {"one": (0, 300), "two": (0, 500)}, 40)
    now = Made({}, {"one": (0, 280), "two": (0, 600)}, 50)
    apart = [Said((), "one", "", 339), Said((), "one", "two", 919), Said((), "", "two", -500)]
    assert [row.most for row in carried(apart, before, now)] == [329, 1029, -600]
    never = Said((("two", 1),), "", "", 0)
    assert carried([never], before, now) == [never]
    with pytest.raises(ValueError, match="341"):
        carried([Said((), "one", "", 341)], before, now)


def test_false_hints_are_given_up(tmp_path: Path) -> None:
    said = {"facts": [], "left": "age:upper.stage_time", "right": "", "most": 0}
    store, edited = Store(tmp_path), of(guarded(shortest_open_ms=60))
    lemmas(of(), store)
    change(store, {"said": [said] * 9})
    settled = lemmas(edited, store)
    assert set(settled) == set(NAMES)
    assert all(rechecked for _, _, rechecked in settled.values())


def test_hints_exclude_nothing_that_can_be_reached(tmp_path: Path) -> None:
    store, one = Store(tmp_path), of()
    lemmas(one, store)
    rows = [row for row in one.required if row.name in NAMES]
    group = by_lemmas.group_of(one, "upper", rows)
    known = remembered.remembered(one, group.part, group.rows, Ask(store=store))
    assert known
    part = cone(one.network, [row.exercised for row in rows], lambda name: name in group.freed)
    system, goals = model(part, one.plan.scan.longest_ms, single=True), [row.exercised for row in rows]
    hints, effort = known.hints(), 200_000
    said = found.lemmas(system, goals, lambda: rig(one.plan, part), effort, power_cut=False, hints=hints)
    assert not said.which
