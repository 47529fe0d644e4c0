"""Charts as data: they are JSON, keep every peak, and the run before stands on the same scales."""

from __future__ import annotations

import base64
import json
from typing import Any

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as some

from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import US
from steadfall.report.figure.scale import Scale
from steadfall.report.figure.series import Series, line_path, peaks
from steadfall.report.figure.svg import polyline, short
from steadfall.report.page.charts import charts, finer

RUN = some.lists(some.floats(-1e3, 1e3), min_size=2, max_size=400)


@given(RUN, some.integers(1, 40))
def test_each_column_keeps_its_ends_and_its_extremes(values: list[float], columns: int) -> None:
    times, mid = np.arange(len(values), dtype=np.float64) * np.float64(20.0), np.array(values)
    end = times[-1] + 20.0
    kept, shown = peaks(times, mid, 0.0, end, columns)
    assert len(kept) <= max(4 * columns, 4)
    assert np.all(np.diff(kept) > 0)
    assert np.all(mid[np.searchsorted(times, kept)] == shown)  # records, nothing made up
    edges = end / columns * np.arange(columns)
    of, of_kept = np.searchsorted(edges, times, "right"), np.searchsorted(edges, kept, "right")
    for column in np.unique(of):
        there, left = mid[of == column], shown[of_kept == column]
        assert (left[0], left[-1], left.min(), left.max()) == (there[0], there[-1], there.min(), there.max())


def test_two_hours_at_a_scan_time_come_down_to_what_a_sheet_shows() -> None:
    times = np.arange(0, 7_200_000, 20, dtype=np.float64)
    values = np.zeros(len(times))
    values[123_456] = 7.0  # one scan in 360,000
    kept, shown = peaks(times, values, 0.0, 7_200_000.0, 1_000)
    assert len(kept) <= 4_000
    assert kept[shown == 7.0].tolist() == [times[123_456]]


def test_a_line_on_paper_keeps_a_peak_of_one_record() -> None:
    mid = np.zeros(50_000)
    mid[31_000] = 10.0
    series = Series("x", "x", "", 1, np.arange(50_000, dtype=np.int64) * 20, mid)
    drawn = line_path(series, Scale(0, 1_000_000, 0, 800), Scale(0, 10, 50, 0))
    assert "L496 0L" in drawn
    assert drawn.count("L") < 4 * 801


def unpacked(row: Any) -> Any:
    return row["least"] + row["unit"] * np.frombuffer(base64.b64decode(row["data"]), "<u2")


def test_the_charts_are_json_with_every_limit(prediction: Prediction) -> None:
    data = json.loads(json.dumps(charts(prediction)))
    assert data["svg"].startswith("<svg ")
    assert data["ghost"] is None
    assert [row["number"] for row in data["limits"]] == list(
        range(1, len(prediction.limits) + len(prediction.goals) + 1)
    )
    assert {row["time_ms"] for row in data["limits"][: len(prediction.limits)]} == {
        result.time_ms for result in prediction.limits
    }


def test_the_run_before_stands_on_the_same_scales(prediction: Prediction) -> None:
    name = next(iter(prediction.plan.bodies))
    track = prediction.trace.tracks[name]
    hotter = evolve(track, values=np.asarray(track.values) + 300.0)
    before = evolve(
        prediction,
        trace=evolve(prediction.trace, tracks={**prediction.trace.tracks, name: hotter}),
        end_ms=prediction.end_ms + 60_000,
    )
    data = charts(prediction, before)
    frame = next(part for part in data["svg"].split("<g ") if f'data-series="{name}"' in part)
    roof = float(frame.partition('data-y="')[2].partition('"')[0].split()[3])
    assert roof >= unpacked(data["ghost"]["series"][name]["mid"]).max() - 1e-3
    assert f'data-window="0 {before.end_ms}"' in data["svg"]


def test_a_stretch_has_its_records_whole(prediction: Prediction, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("steadfall.report.page.packed.MOST", 20_000)
    name = next(iter(prediction.plan.bodies))
    coarse = charts(prediction)["records"]["series"][name]
    fine = finer(prediction, 60_000, 90_000)["series"][name]
    track = prediction.trace.tracks[name]
    times = np.asarray(track.times_ms)
    inside = times[(times >= 60_000) & (times <= 90_000)]
    assert fine["times"]["count"] == len(inside) + 2
    assert "gap" not in coarse["times"] or coarse["times"]["gap"] > fine["times"]["gap"]


@given(some.lists(some.tuples(some.floats(-30, 30), some.floats(-1e4, 1e4)), min_size=1, max_size=30))
def test_a_line_is_written_as_its_numbers_are(points: list[tuple[float, float]]) -> None:
    assert polyline(points) == "M" + "L".join(f"{short(x)} {short(y)}" for x, y in points)


def test_in_us_units_curves_rules_and_words_are_the_same_things(prediction: Prediction) -> None:
    metric, us = charts(prediction), charts(evolve(prediction, units=US))
    assert us["records"]["series"].keys() == metric["records"]["series"].keys()
    for name, row in us["records"]["series"].items():
        usual = metric["records"]["series"][name]
        if usual["symbol"] == "°C":
            assert row["symbol"] == "°F"
            np.testing.assert_allclose(unpacked(row["mid"]), 1.8 * unpacked(usual["mid"]) + 32.0, atol=0.02)
    assert "°C" not in us["svg"]
    assert "rated 145.0 psig" in us["svg"]
    assert "rated 10.00 barg" in metric["svg"]
    assert len(us["limits"]) == len(metric["limits"])
