"""Thinning a curve keeps its peaks; the numbers for the script read back as what was drawn."""

from __future__ import annotations

import base64

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as some

from steadfall.predict.outcome.result import Prediction
from steadfall.report.figure.figure import Figure
from steadfall.report.figure.panel import Panel
from steadfall.report.figure.scale import Scale
from steadfall.report.figure.series import Series, band_path, line_path, thinned
from steadfall.report.figure.sheets import whole_figure
from steadfall.report.page.packed import MOST, STEPS, packed


def series(values: list[float], *, band: bool) -> Series:
    mid = np.array(values)
    times = np.arange(len(values), dtype=np.int64) * 500
    low, high = (mid - 1.0, mid + 2.0) if band else (None, None)
    return Series("x", "x", "", 1, times, mid, low, high)


@given(some.lists(some.floats(-1e3, 1e3), min_size=50, max_size=400), some.booleans())
def test_the_band_keeps_its_extremes(values: list[float], band: bool) -> None:
    curve = series(values, band=band)
    times, mid, low, high = thinned(curve, 0, 500.0 * len(values), 10)
    least, most = curve.extent(0, 500.0 * len(values))
    assert len(times) <= 11
    assert (min(low), max(high)) == (least, most)
    assert np.all(np.diff(times) > 0)
    assert np.all((low <= mid + 1e-9) & (mid <= high + 1e-9))


def test_a_true_step_stays_where_it_was() -> None:
    _, mid, _, _ = thinned(series([0.0] * 200 + [10.0] * 200, band=False), 0, 200_000, 20)
    assert mid.tolist() == [0.0] * 10 + [10.0] * 10


def test_a_beat_is_calmed() -> None:
    beating = [float(index % 7 == 0) for index in range(4_000)]
    _, mid, _, _ = thinned(series(beating, band=False), 0, 2_000_000, 300)
    assert np.ptp(mid[2:-2]) < 0.05


def test_paths_are_drawn_on_their_scales() -> None:
    x, y = Scale(0, 1000, 0, 100), Scale(0, 10, 50, 0)
    assert line_path(series([0, 5, 10], band=False), x, y) == "M0 50L50 25L100 0"
    assert band_path(series([0, 5, 10], band=False), x, y) == ""
    assert band_path(series([1, 5], band=True), x, y) == "M0 35L50 15L50 30L0 50Z"


def test_a_pulsed_quantity_has_a_line_only_where_its_band_is_narrow() -> None:
    x, y = Scale(0, 2000, 0, 200), Scale(0, 10, 50, 0)
    mid = np.array([1.0, 1.0, 5.0, 1.0, 1.0])
    high = mid + np.array([0.1, 0.1, 4.0, 0.1, 0.1])
    curve = Series("x", "x", "", 1, np.arange(5, dtype=np.int64) * 500, mid, mid, high, pulsed=True)
    assert line_path(curve, x, y) == "M0 45L50 45M150 45L200 45"
    assert band_path(curve, x, y).startswith("M0 44.5L50 44.5L100 5L150 44.5")
    assert (curve.words(900), curve.words(1000), curve.words(1001)) == (
        "5.0 to 9.0",
        "5.0 to 9.0",
        "1.0 to 1.1",
    )


def test_packed_numbers_read_back(prediction: Prediction) -> None:
    figure = whole_figure(prediction)
    kept = packed([figure])
    curves = {one.name: one for panel in figure.panels for one in panel.series}
    assert set(kept["series"]) == set(curves)
    for name, one in curves.items():
        row = kept["series"][name]
        read = row["mid"]["least"] + row["mid"]["unit"] * np.frombuffer(
            base64.b64decode(row["mid"]["data"]), "<u2"
        )
        assert read == pytest.approx(one.mid, abs=np.ptp(one.mid) / 130_000 + 1e-9)
        times = row["times"]
        assert (times["first"], times["gap"], times["count"]) == (500, 500, len(one.mid))


def test_packed_openings_are_exact(prediction: Prediction) -> None:
    kept = packed([whole_figure(prediction)])
    moments = np.cumsum(kept["strips"]["lower.mist"]).reshape(-1, 2)
    assert [tuple(span) for span in moments.tolist()] == prediction.trace.openings("lower.mist")


def test_too_many_records_are_thinned(monkeypatch: pytest.MonkeyPatch, prediction: Prediction) -> None:
    monkeypatch.setattr("steadfall.report.page.packed.MOST", 20_000)
    kept = packed([whole_figure(prediction)])
    count = sum(
        len(base64.b64decode(row[part]["data"])) // 2
        for row in kept["series"].values()
        for part in ("mid", "low", "high")
        if row[part] is not None
    )
    assert MOST > 20_000 >= count > 5_000


@pytest.mark.parametrize("band", [False, True])
def test_two_hours_of_forty_signals_every_20_ms_keep_every_peak(band: bool) -> None:
    count, peaks = 7_200_000 // 20, np.arange(7_001, 360_000, 7_001)
    times, flat = np.arange(count, dtype=np.int64) * 20, np.zeros(count)
    high = flat.copy()
    high[peaks] = 1.0
    one = Series("x", "x", "", 1, times, flat if band else high, *((flat, high) if band else (None, None)))
    curves = tuple(evolve(one, name=f"x{k}") for k in range(40))
    figure = Figure("f", "f", 0, 7_200_000, (Panel("p", curves, 100.0),), ())
    records = packed([figure])["series"]
    assert set(records) == {curve.name for curve in curves}
    sizes = [
        len(base64.b64decode(row[part]["data"])) // 2
        for row in records.values()
        for part in ("mid", "low", "high")
        if row[part] is not None
    ]
    assert sum(sizes) <= 1.1 * MOST
    for row in records.values():
        kept = np.frombuffer(base64.b64decode(row["high" if band else "mid"]["data"]), "<u2")
        assert np.count_nonzero(kept == STEPS) == len(peaks)
