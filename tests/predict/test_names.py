"""What a name is of decides its unit, never how the name is spelled; and every good plan can be predicted."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from steadfall.app.given.traces import read_trace
from steadfall.logic.build.whole import build
from steadfall.plan.meaning.names import quantities
from steadfall.plan.read.whole import read_file, read_text
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from steadfall.quantities import QUANTITIES
from steadfall.report.figure.charts import panels
from steadfall.report.page.prediction import page
from steadfall.report.text.prediction import summary
from steadfall.trace.columns import columns
from steadfall.trace.table import write_csv, write_events
from tests.plan.paths import GOOD, ROOT

WORDS = sorted({word for quantity in QUANTITIES for word in quantity.end.split(".") if word})
VESSEL = (ROOT / "tests" / "plans" / "good" / "pressure_vessel.yaml").read_text(encoding="utf-8")
LIMITS = "  - {{of: {body}, at least: 5 degC}}\n  - {{of: {gas}, fall_rate: at most 40 K/min}}\n"


@pytest.mark.parametrize("path", GOOD, ids=lambda path: str(path.stem))
def test_a_good_plan_is_predicted_with_every_quantity_in_its_unit(path: Path) -> None:
    plan = read_file(path)
    found = predict(plan, None, coarse(plan))
    known = quantities(plan)
    assert known.keys() <= found.trace.tracks.keys()
    for name, one in known.items():
        assert (found.trace.tracks[name].unit, found.trace.tracks[name].dimension) == (
            one.reading.si,
            one.dimension,
        )
    assert summary(found)


def test_tables_give_back_what_a_column_is(tmp_path: Path) -> None:
    """Temperatures, a difference and pressures of sensors, from the CSV files of a run."""
    plan = read_file(ROOT / "tests" / "plans" / "good" / "surroundings.yaml")
    trace = predict(plan, None, coarse(plan)).trace
    write_csv(trace, tmp_path / "trace.csv")
    back = read_trace(write_events(trace, tmp_path / "events.csv"), build(plan)).trace
    track, twin = trace.tracks["load_difference"], back.tracks["load_difference"]
    assert (twin.dimension, twin.unit) == (track.dimension, track.unit) == ("temperature_difference", "K")
    np.testing.assert_allclose(twin.values, np.interp(twin.times_ms, track.times_ms, track.values), rtol=1e-6)


def named(body: str, gas: str) -> Prediction:
    """A vessel with a load and a gas of these names, both under a limit."""
    text = VESSEL.replace("load", body).replace("vessel_gas", gas)
    assert f"  {body}: " in text
    assert f"  {gas}:" in text
    plan = read_text(
        text.replace("limits:\n", f"limits:\n{LIMITS.format(body=body, gas=gas)}"), "vessel.yaml"
    )
    return predict(plan, None, coarse(plan))


@pytest.fixture(scope="module")
def plain() -> Prediction:
    return named("batch", "vapour")


@pytest.mark.parametrize("word", WORDS)
def test_a_name_like_a_quantity_changes_no_unit_and_no_word(word: str, plain: Prediction) -> None:
    """The body and the gas are named after a quantity in turn; the twin with plain names shows the same."""
    for odd in (named(word, "vapour"), named("batch", word)):
        back = word if word in odd.plan.bodies else ""
        names = {word: "batch" if back else "vapour"}
        told = {renamed(heading, names): values for heading, values in columns(odd.trace).items()}
        wanted = columns(plain.trace)
        assert set(told) == set(wanted)
        for heading, values in wanted.items():
            np.testing.assert_array_equal(told[heading], values, err_msg=heading)


@pytest.mark.parametrize(
    "word", ["heat", "pressure", "wall_shock", "wall", "difference", "core", "after_coil"]
)
def test_charts_show_the_same_under_any_name(word: str, plain: Prediction) -> None:
    for odd in (named(word, "vapour"), named("batch", word)):
        for drawn, twin in zip(panels(odd), panels(plain), strict=True):
            assert [(one.symbol, one.digits, one.look) for one in drawn.series] == [
                (one.symbol, one.digits, one.look) for one in twin.series
            ]
            for one, other in zip(drawn.series, twin.series, strict=True):
                np.testing.assert_array_equal(one.mid, other.mid)
            assert [(b.number, b.value) for b in drawn.balloons] == [
                (b.number, b.value) for b in twin.balloons
            ]
            assert [rule.value for rule in drawn.rules] == [rule.value for rule in twin.rules]
            assert [zone.low for zone in drawn.zones] == [zone.low for zone in twin.zones]


def renamed(heading: str, names: dict[str, str]) -> str:
    """A heading with the first part of its name replaced."""
    for old, new in names.items():
        if heading.startswith((f"{old} ", f"{old}.")):
            return new + heading[len(old) :]
    return heading


def test_a_body_called_heat_is_read_in_degrees() -> None:
    """In the summary, in the limits' rules and on the page."""
    found = named("heat", "pressure")
    (body, gas, *_) = found.limits
    assert (body.limit.of, gas.limit.of) == ("heat", "pressure")
    (row,) = (line for line in summary(found).splitlines() if "heat, at least 5 degC" in line)
    assert "37.3 °C" in row
    assert "limit 1: at least 5.0 °C" in page(found)
