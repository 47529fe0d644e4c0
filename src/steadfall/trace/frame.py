"""The one door to pandas and pyarrow: the trace as a data frame and as a Parquet file.

Rule of this file: both are optional; they are asked for only when a frame is, and their absence is a
sentence.
"""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

from steadfall.source import OutsideError
from steadfall.trace.columns import TIME, columns
from steadfall.trace.trace import Trace

if TYPE_CHECKING:
    import pandas


def frame(trace: Trace) -> pandas.DataFrame:
    """The wide table with the time in s as its index; columns as in docs/trace.md.

    Raises OutsideError when pandas is not installed.
    """
    table = columns(trace)
    time = table.pop(TIME)
    pd = needed("pandas")
    made: pandas.DataFrame = pd.DataFrame(table, index=pd.Index(time, name=TIME))
    return made


def write_parquet(trace: Trace, path: Path) -> Path:
    """The wide table as a Parquet file.

    Raises OutsideError when pandas or pyarrow is not installed or the file cannot be written.
    """
    needed("pyarrow")
    try:
        frame(trace).to_parquet(path, engine="pyarrow")
    except OSError as error:
        raise OutsideError(f"cannot write {path}: {error.strerror or error}") from error
    return Path(path)


def needed(package: str) -> Any:
    """An optional package, or a sentence that says how to get it."""
    try:
        return importlib.import_module(package)
    except ImportError as error:
        raise OutsideError(
            f"data frames need {package}; install it with: pip install 'steadfall[frame]'"
        ) from error
