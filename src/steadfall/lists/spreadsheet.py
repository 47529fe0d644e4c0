"""Lists as XLSX and back, where what reads and writes workbooks is installed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from types import ModuleType

from steadfall.extras import opened
from steadfall.lists.sheet import Sheet


def xlsx(sheets: Sequence[Sheet]) -> bytes:
    """The lists as one workbook, a sheet for each. Raises OutsideError without what writes it."""
    made: bytes = _workbook().xlsx(sheets)
    return made


def read_xlsx(path: Path) -> list[list[str]]:
    """The cells of a workbook's first sheet as texts; raises OutsideError where it cannot be read."""
    rows: list[list[str]] = _workbook().read_xlsx(path)
    return rows


def _workbook() -> ModuleType:
    door: ModuleType = opened("steadfall.lists.workbook")
    return door
