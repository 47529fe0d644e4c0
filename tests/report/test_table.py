"""The trace as tables: the same numbers in CSV, data frame and Parquet; every change to the millisecond."""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np
import pandas
import pytest

from steadfall.extras import opened
from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import CIRCUIT_PRESSURE, READINGS, WALL, WALL_SHOCK
from steadfall.source import OutsideError
from steadfall.trace.columns import columns
from steadfall.trace.frame import frame, write_parquet
from steadfall.trace.table import write_csv, write_events
from steadfall.units import scale


def test_csv_frame_and_parquet_agree(tmp_path: Path, prediction: Prediction) -> None:
    made = frame(prediction.trace)
    read = pandas.read_csv(write_csv(prediction.trace, tmp_path / "trace.csv"), index_col="time [s]")
    assert list(read.columns) == list(made.columns)
    assert np.allclose(read.to_numpy(float), made.to_numpy(float), rtol=1e-6, atol=1e-6)
    stored = pandas.read_parquet(write_parquet(prediction.trace, tmp_path / "trace.parquet"))
    assert stored.equals(made)


def test_values_stand_in_the_unit_of_their_heading(prediction: Prediction) -> None:
    table = columns(prediction.trace)
    track = prediction.trace.tracks["upper.pressure"]
    assert track.high is not None
    assert table["upper.pressure high [barg]"] == pytest.approx((track.high - 101_325) / 1e5)
    assert table["splice [degC]"] == pytest.approx(prediction.trace.tracks["splice"].values - 273.15)
    assert table["upper.mist"].dtype == bool
    assert table["time [s]"][:2].tolist() == [0.5, 1.0]


def test_a_logic_signal_has_the_value_that_it_holds_at_the_record(prediction: Prediction) -> None:
    table = columns(prediction.trace)
    expected = [prediction.trace.at("upper.mist", round(second * 1000)) for second in table["time [s]"][:50]]
    assert table["upper.mist"][:50].tolist() == expected


def test_events_are_every_change_in_order(tmp_path: Path, prediction: Prediction) -> None:
    with write_events(prediction.trace, tmp_path / "events.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    mist = [
        (round(float(row["time [s]"]) * 1000), row["value"]) for row in rows if row["signal"] == "upper.mist"
    ]
    assert mist == [(when, str(int(value))) for when, value in prediction.trace.changes("upper.mist")]
    times = [float(row["time [s]"]) for row in rows]
    assert times == sorted(times)


def test_a_file_that_cannot_be_written_is_a_sentence(tmp_path: Path, prediction: Prediction) -> None:
    for write in (write_csv, write_events, write_parquet):
        with pytest.raises(OutsideError, match="cannot write"):
            write(prediction.trace, tmp_path / "missing" / "file")


@pytest.mark.parametrize("package", ["pandas", "pyarrow"])
def test_a_missing_package_is_a_sentence(
    package: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, prediction: Prediction
) -> None:
    monkeypatch.setitem(sys.modules, package, None)
    monkeypatch.delitem(sys.modules, "steadfall.trace.frame", raising=False)
    with pytest.raises(OutsideError, match="pip install 'steadfall\\[frame\\]'"):
        opened("steadfall.trace.frame").write_parquet(prediction.trace, tmp_path / "trace.parquet")


@pytest.mark.parametrize("dimension", sorted(set(READINGS) - {"fraction", "switch"}))
def test_readings_agree_with_the_units_of_a_plan(dimension: str) -> None:
    reading = READINGS[dimension]
    factor, offset = scale(reading.unit, dimension)
    for si in (1.0, 300.0, 4.5e5):
        assert reading.of(si) * factor + offset == pytest.approx(si)


def test_the_unit_of_a_heading_tells_the_dimension() -> None:
    """So a table keeps what a track is: no two dimensions with a unit are shown in the same one."""
    shown = [reading.unit for reading in READINGS.values() if reading.unit]
    assert len(shown) == len(set(shown))


def test_a_difference_is_not_a_temperature() -> None:
    assert WALL_SHOCK.reading.text(60.0) == "60.0 K"
    assert WALL.reading.text(273.15) == "0.0 °C"
    assert CIRCUIT_PRESSURE.reading.text(101_324.9) == "0.00 barg"
