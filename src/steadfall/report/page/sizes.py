"""Sizes as one HTML file that needs nothing else, in the look of the other reports."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from pathlib import Path
from typing import Any

from steadfall.report.page.paper import filled, written
from steadfall.report.page.sizes_figure import MARGINS, SHARED, margins_figure, sharing_figure
from steadfall.report.words import sizes as say
from steadfall.report.words.cautions import CAUTIONS, SIZE_CAUTION
from steadfall.size.sizes import Sizes

NAME = "sizes.html"


def write_sizes(sizes: Sizes, folder: Path, *, dated: str = "") -> Path:
    """Write `sizes.html` into the folder and give its path; without a date there is room to write one.

    Raises OutsideError when jinja2 is not installed or the folder cannot be written.
    """
    return written(sizes_page(sizes, dated=dated), Path(folder) / NAME)


def sizes_page(sizes: Sizes, *, dated: str = "") -> str:
    """The page as text."""
    figures = [(MARGINS, margins_figure(sizes)), (SHARED, sharing_figure(sizes))]
    content: Mapping[str, Any] = {
        "plan": sizes.plan,
        "good": sizes.good,
        "verdict": say.size_verdict(sizes),
        "parts": [
            (about, list(rows)) for about, rows in groupby(say.size_rows(sizes), key=lambda row: row.about)
        ],
        "figures": [(caption, drawing) for caption, drawing in figures if drawing],
        "sharing": (say.SHARING_HEAD, say.sharing_rows(sizes)),
        "hand": ((say.heat_head(sizes), say.heat_rows(sizes)), (say.dose_head(sizes), say.dose_rows(sizes))),
        "hand_hint": say.HAND_HINT,
        "batch": (say.batch_head(sizes), say.batch_rows(sizes)),
        "life": (say.LIFE_HEAD, say.life_rows(sizes)),
        "scenario": sizes.batch.scenario,
        "end_ms": sizes.batch.end_ms,
        "notes": sizes.notes,
        "cautions": (SIZE_CAUTION, *CAUTIONS),
        "lines": sizes.plan.text.splitlines(),
        "dated": dated,
    }
    return filled("sizes.html.j2", content)
