"""A list as rows and columns, and as CSV that no spreadsheet takes for formulas.

Rule of this file: data only; a cell that a spreadsheet could take for a formula begins with an apostrophe.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from attrs import frozen

FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|")


@frozen
class Sheet:
    """A list: its title, its column headings, its rows; `notes` stand below it."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()


def harmless(text: str) -> str:
    """A text that no spreadsheet takes for a formula, in one line."""
    line = " ".join(text.split("\n"))
    return f"'{line}" if line.startswith(FORMULA) else line


def csv_text(sheet: Sheet) -> str:
    """The list as CSV (RFC 4180), headings first."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(sheet.headings)
    writer.writerows([harmless(cell) for cell in row] for row in sheet.rows)
    return out.getvalue()


def column(headings: Sequence[str], wanted: str) -> int | None:
    """The place of a heading, whatever its case and spaces; None where there is none."""
    plain = [" ".join(heading.lower().split()) for heading in headings]
    word = " ".join(wanted.lower().split())
    return plain.index(word) if word in plain else None
