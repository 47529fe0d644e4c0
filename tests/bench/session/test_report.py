"""The report of a session: what was measured above the strips, the power cut, and its end."""

from __future__ import annotations

from steadfall.app.bench import How, rehearse
from steadfall.bench.cases.whole import cases
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
