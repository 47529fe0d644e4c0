"""Lists as XLSX and back, where what reads and writes workbooks is installed."""

from __future__ import annotations

import importlib
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType

from steadfall.lists.sheet import Sheet
from steadfall.source import OutsideError


def xlsx(sheets: Sequence[Sheet]) -> bytes:
    """The lists as one workbook, a sheet for each. Raises OutsideError without what writes it."""
    made: bytes = _workbook().xlsx(sheets)
    return made


def read_xlsx(path: Path) -> list[list[str]]:
    """The cells of a workbook's first sheet as texts; raises OutsideError where it cannot be read."""
    rows: list[list[str]] = _workbook().read_xlsx(path)
    return rows


def _workbook() -> ModuleType:
    try:
        return importlib.import_module("steadfall.lists.workbook")
    except ImportError as error:
        raise OutsideError("lists as XLSX need openpyxl: pip install 'steadfall[code]'") from error
