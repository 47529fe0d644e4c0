"""Requirements on a recording: the right controller keeps them, a wrong one breaks those that it breaks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from attrs import evolve

from steadfall.app.bench import How, rehearse
from steadfall.app.given.controller import controller
from steadfall.bench.judge.finding import Finding, Said, Terms
from steadfall.bench.judge.requirements import required
from steadfall.bench.session.journal import Row, Span
from steadfall.logic.nodes import Value
from steadfall.st.write.whole import structured_text
from tests.bench.made import plan_of

TERMS = Terms(20, 40, 0.0, 50)
REST: Mapping[str, Value] = {
    "upper.mist": False, "upper.flood": False, "upper.sweep": False, "upper.stage": 0,
    "lower.mist": False, "lower.flood": False, "lower.sweep": False, "lower.stage": 0,
}  # fmt: skip
SHOWN: Mapping[str, Value] = {
    "full_call": False, "air_pressure_ok": True, "reset_button": False, "upper.outlet_temperature": 150.0,
    "lower.outlet_temperature": 150.0, "upper.pressure": 1.0,
}  # fmt: skip


def rows_of(reads: Mapping[int, Mapping[str, Value]], cycles: int = 60) -> list[Row]:
    """A recording of a controller at rest that shows something else from some cycles on."""
    found = []
    for at in range(cycles):
        values = {**REST, **reads.get(0, {})} if at == 0 else reads.get(at, {})
        begin = 50.0 * at
        written = (Span(begin + 2, begin + 3, SHOWN if at == 0 else {}),)
        found.append(Row(at, 50 * at, (Span(begin, begin + 1, values),), written))
    return found


def said(name: str, reads: Mapping[int, Mapping[str, Value]], plan: str = "small") -> Finding:
    return {one.about: one for one in required(plan_of(plan), rows_of(reads), TERMS)}[name]


def test_the_right_controller_breaks_nothing() -> None:
    made = rehearse(plan_of("small"), How(lasting_s=8)).judged
    found = {one.about: one.said for one in made.required}
    assert Said.FAIL not in found.values()
    assert found["upper.dosing.mist_dose.lasts"] is Said.PASS
    assert found["upper.mist.cut_by_trip"] is Said.NOT_EXERCISED
    assert found["upper.answers_a_call"] is Said.PASS  # a first scan was made before the call
    assert made.good


@pytest.mark.parametrize(("long", "verdict"), [(3, Said.FAIL), (4, Said.FAIL), (9, Said.PASS)])
def test_an_opening_is_too_short_where_no_scans_make_it_long_enough(long: int, verdict: Said) -> None:
    found = said("upper.mist.shortest_open", {10: {"upper.mist": True}, 10 + long: {"upper.mist": False}})
    assert found.said is verdict


def test_water_without_its_sweep_is_broken_and_it_is_said_when() -> None:
    dosing: Mapping[str, Value] = {"upper.stage": 1, "upper.sweep": False, "upper.mist": True}
    found = said("upper.dosing.swept", {20: dosing})
    assert found.said is Said.FAIL
    assert found.at_ms == 1000.0
    assert "keep it between 0:01 and 0:01" in found.why
    swept = said("upper.dosing.swept", {20: {**dosing, "upper.sweep": True}})
    assert swept.said is Said.PASS


@pytest.mark.parametrize(("openings", "verdict"), [(25, Said.PASS), (26, Said.FAIL)])
def test_openings_in_a_stretch_are_counted_from_each_of_them(openings: int, verdict: Said) -> None:
    moves = {2 * at + 1: {"upper.mist": at % 2 == 0} for at in range(2 * openings)}
    rows = rows_of(moves, cycles=4 * openings + 40)
    found = {one.about: one for one in required(plan_of("requirements"), rows, TERMS)}
    assert found["stated.8"].said is verdict  # at most 25 openings in any 60 s


def test_what_a_wrong_text_breaks_is_named(tmp_path: Path) -> None:
    plan, file = plan_of("small"), tmp_path / "controller.st"
    file.write_text(structured_text(plan).text.replace("T#800ms", "T#940ms"), encoding="utf-8")
    made = rehearse(plan, How(lasting_s=4), controller(plan, file)).judged
    broken = [one.about for one in made.required if one.said is Said.FAIL]
    assert "upper.dosing.mist_dose.lasts" in broken


def test_what_was_before_a_session_is_not_judged() -> None:
    found = {one.about: one for one in required(plan_of("small"), rows_of({}), TERMS)}
    assert [name for name, one in found.items() if one.said is Said.FAIL] == []
    assert found["upper.begins"].said is Said.NOT_EXERCISED


@pytest.mark.parametrize(("later", "broken"), [(0, False), (2, True)])
def test_what_two_requests_of_a_cycle_read_may_have_changed_in_one_scan(later: int, broken: bool) -> None:
    bits: Mapping[str, Value] = {"upper.mist": True, "upper.sweep": True}
    stage: Mapping[str, Value] = {"upper.stage": 1}
    rows = rows_of({20: bits, 22: stage} if later else {20: {**bits, **stage}})
    found = {one.about: one.said for one in required(plan_of("small"), in_two_requests(rows), TERMS)}
    assert (found["upper.mist.at_rest"] is Said.FAIL) is broken


def in_two_requests(rows: list[Row]) -> list[Row]:
    """The same where stages are read after everything else."""
    return [evolve(row, reads=tuple(_parts(row.reads[0]))) for row in rows]


def _parts(one: Span) -> Iterator[Span]:
    later = {name for name in one.values if name.endswith(".stage")}
    for at, names in enumerate((one.values.keys() - later, later)):
        values = {name: one.values[name] for name in names}
        yield Span(one.begin + at * 0.5, one.begin + at * 0.5 + 0.5, values)
