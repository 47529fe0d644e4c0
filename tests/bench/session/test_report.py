"""The report of a session: what was measured above the strips, the power cut, its end, and who held it."""

from __future__ import annotations

import getpass
import html
import json
import re
from pathlib import Path

import pytest

from steadfall.app.bench import How, again, rehearse
from steadfall.bench.cases.whole import cases
from steadfall.bench.judge.finding import Said
from tests.bench.made import plan_of


def test_it_shows_what_was_measured_where_power_was_cut_and_that_its_end_is_no_fault() -> None:
    plan = plan_of("small")
    case = next(one for one in cases(plan).cases if one.name == "power")
    made = rehearse(plan, How(case=case))
    assert made.good
    page = made.page()
    assert "Measured, degC" in page
    assert 'data-series="upper.outlet_temperature"' in page
    assert "power fails, and is back at once" in page
    assert 'class="marked says"' in page
    assert 'class="marked wrong"' not in page
    assert "UTC</dd>" in page
    assert re.search(r"Never on: [^<]*reset button", page)
    assert 'data-strip="session|reset_button"' not in page
    assert 'data-strip="session|full_call"' in page


def test_a_permissive_by_a_single_input_is_exercised_once_it_was_lost() -> None:
    plan = plan_of("small")
    case = next(one for one in cases(plan).cases if one.name == "permissive sweep air")
    about = "air_pressure_ok lost"
    for how, said in ((How(lasting_s=1), Said.NOT_EXERCISED), (How(case=case), Said.PASS)):
        found = {one.about: one for one in rehearse(plan, how).judged.covered}
        assert found[about].said is said
        assert found[about].line == plan.permissives[0].at.own.line


@pytest.mark.parametrize(("given", "held_by"), [("R. Ames", "R. Ames"), ("", "j.holt"), ("<b>", "<b>")])
def test_the_evidence_says_who_held_it(
    given: str, held_by: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(getpass, "getuser", lambda: "j.holt")
    monkeypatch.setenv("STEADFALL_BENCH_NAME", given)
    made = rehearse(plan_of("small"), How(lasting_s=1, out=tmp_path))
    assert json.loads((tmp_path / "session.json").read_text(encoding="utf-8"))["held_by"] == held_by
    assert made.as_json()["session"]["held_by"] == held_by
    assert made.as_json()["session"]["seed"] == 1
    assert f"<dt>Held by</dt><dd>{html.escape(held_by)}</dd>" in made.page()


def test_evidence_of_before_that_names_nobody_is_judged_all_the_same(tmp_path: Path) -> None:
    rehearse(plan_of("small"), How(lasting_s=1, out=tmp_path))
    path = tmp_path / "session.json"
    head = json.loads(path.read_text(encoding="utf-8"))
    del head["held_by"]
    path.write_text(json.dumps(head), encoding="utf-8")
    made = again(tmp_path)
    assert made.as_json()["session"]["held_by"] == ""
    assert "Held by" not in made.page()


@pytest.mark.parametrize(("name", "said"), [("small", False), ("logic_alone", True)])
def test_where_there_is_no_plant_it_says_what_the_measured_values_are(name: str, said: bool) -> None:
    page = rehearse(plan_of(name), How(lasting_s=1)).page()
    assert ("no plant in this plan, so" in page) is said
