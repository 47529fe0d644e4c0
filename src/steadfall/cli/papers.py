"""The files of a prediction: report, result as JSON, trace as CSV and Parquet. All are there or none is."""

from __future__ import annotations

import tempfile
from pathlib import Path

from steadfall.cli.guard import json_text
from steadfall.predict.result import Prediction
from steadfall.report.page.prediction import write_report
from steadfall.source import OutsideError
from steadfall.trace import frame
from steadfall.trace.table import write_csv, write_events


def write_papers(prediction: Prediction, folder: Path) -> list[Path]:
    """Write everything into `folder` and give the paths, the report first.

    Raises OutsideError when the folder cannot be written or an optional package is missing.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".steadfall-", dir=folder) as draft:
            written = _write(prediction, Path(draft))
            return [path.replace(folder / path.name) for path in written]
    except OSError as error:
        raise OutsideError(f"cannot write into {folder}: {error.strerror or error}") from error


def _write(prediction: Prediction, folder: Path) -> list[Path]:
    result = folder / "prediction.json"
    result.write_text(json_text(prediction.as_json()), encoding="utf-8")
    table, events, parquet = folder / "trace.csv", folder / "events.csv", folder / "trace.parquet"
    write_csv(prediction.trace, table)
    write_events(prediction.trace, events)
    frame.write_parquet(prediction.trace, parquet)
    return [write_report(prediction, folder), result, table, events, parquet]
