"""The one door to openpyxl: lists as XLSX, and a list that somebody else made.

Rule of this file: it is opened only when a workbook is asked for, by `lists.spreadsheet`. The same list gives
the same bytes, so nothing in the file tells when it was written; every cell is a text, so that nothing in it
is a formula.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from steadfall.lists.sheet import Sheet, harmless
from steadfall.source import OutsideError
from steadfall.unneeded import without

with without("numpy", "PIL"):  # in a list there are texts, no arrays and no pictures
    import openpyxl
    from openpyxl.styles import Alignment, Font

LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the earliest time that a ZIP file can hold
MOST_CELLS = 1_000_000
WIDEST = 48


def xlsx(sheets: Sequence[Sheet]) -> bytes:
    """The lists as one workbook, a sheet for each."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for sheet in sheets:
        _fill(book.create_sheet(re.sub(r"[\[\]:*?/\\]", " ", sheet.title)[:31]), sheet)
    out = io.BytesIO()
    book.save(out)
    return _timeless(out.getvalue())


def _fill(page: Any, sheet: Sheet) -> None:
    rows = [sheet.headings, *sheet.rows, *([()] if sheet.notes else []), *((note,) for note in sheet.notes)]
    for number, row in enumerate(rows, 1):
        for place, value in enumerate(row, 1):
            cell = page.cell(number, place)
            cell.value = _text(value)
            cell.data_type = "s"
            cell.alignment = Alignment(vertical="top", wrap_text=number <= len(sheet.rows) + 1)
            if number == 1:
                cell.font = Font(bold=True)
    for place, heading in enumerate(sheet.headings, 1):
        longest = max([len(heading), *(len(row[place - 1]) for row in sheet.rows if len(row) >= place)])
        page.column_dimensions[page.cell(1, place).column_letter].width = min(longest, WIDEST) + 2
    page.freeze_panes = "B2"


def _text(value: str) -> str:
    """A text without the control characters that a workbook cannot hold."""
    return re.sub(r"[\x00-\x08\x0b-\x1f]", " ", harmless(value))


def _timeless(data: bytes) -> bytes:
    """The workbook without the moment at which it was written."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as given, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as kept:
        for name in sorted(given.namelist()):
            content = given.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", b"1980-01-01T00:00:00Z", content)
            entry = zipfile.ZipInfo(name, LONG_AGO)
            entry.compress_type, entry.create_system = zipfile.ZIP_DEFLATED, 3
            kept.writestr(entry, content)
    return out.getvalue()


def read_xlsx(path: Path) -> list[list[str]]:
    """The cells of a workbook's first sheet as texts; raises OutsideError where it cannot be read."""
    try:
        book = openpyxl.load_workbook(path, read_only=True, data_only=True)
        page = book.worksheets[0]
        if (page.max_row or 0) * (page.max_column or 0) > MOST_CELLS:
            raise OutsideError(f"{path.name} has more than {MOST_CELLS} cells")
        rows = [
            ["" if cell is None else str(cell) for cell in row] for row in page.iter_rows(values_only=True)
        ]
        book.close()
    except OutsideError:
        raise
    except Exception as error:  # what a broken workbook raises is openpyxl's, zipfile's or the XML reader's
        raise OutsideError(f"cannot read {path.name}: {error}") from error
    return rows
