"""The one door to pandas and pyarrow: the trace as a data frame and as a Parquet file."""

from __future__ import annotations

from pathlib import Path

import pandas
import pyarrow
import pyarrow.parquet

from steadfall.source import OutsideError
from steadfall.trace.columns import TIME, columns
from steadfall.trace.trace import Trace


def frame(trace: Trace) -> pandas.DataFrame:
    """The wide table with the time in s as its index; columns as in docs/trace.md."""
    table = columns(trace)
    time = table.pop(TIME)
    return pandas.DataFrame(table, index=pandas.Index(time, name=TIME))


def write_parquet(trace: Trace, path: Path) -> Path:
    """The wide table as a Parquet file.

    Raises OutsideError when the file cannot be written.
    """
    try:
        pyarrow.parquet.write_table(pyarrow.Table.from_pandas(frame(trace)), path)
    except OSError as error:
        raise OutsideError(f"cannot write {path}: {error.strerror or error}") from error
    return Path(path)
