"""Doses as one HTML file that needs nothing else, in the look of the other reports."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from steadfall.dose.found import Doses
from steadfall.report.page.doses_figure import TRADE, trade_figure
from steadfall.report.page.paper import filled, written
from steadfall.report.words import doses as say
from steadfall.report.words import sizes as hand
from steadfall.report.words.cautions import CAUTIONS, DOSE_CAUTION
from steadfall.size.sizes import Sizes

NAME = "doses.html"


def write_doses(found: Doses, by_hand: Sizes | None, folder: Path, *, dated: str = "") -> Path:
    """Write `doses.html` into the folder and give its path; without a date there is room to write one.

    Raises OutsideError when jinja2 is not installed or the folder cannot be written.
    """
    return written(doses_page(found, by_hand, dated=dated), Path(folder) / NAME)


def doses_page(found: Doses, by_hand: Sizes | None, *, dated: str = "") -> str:
    """The page as text."""
    sums: tuple[Any, ...] = ()
    if by_hand is not None:
        sums = (
            (hand.heat_head(by_hand), hand.heat_rows(by_hand)),
            (hand.dose_head(by_hand), hand.dose_rows(by_hand)),
        )
    content: Mapping[str, Any] = {
        "plan": found.plan,
        "good": found.good,
        "verdict": say.heading(found),
        "tables": [
            (name, head, rows, words)
            for name, head, rows, words in (  # so many columns are words, the rest figures
                ("Numbers", say.NUMBER_HEAD, say.number_rows(found), 3),
                ("What they give, on the fine grid", say.FIGURE_HEAD, say.figure_rows(found), 1),
                ("What is left to each bound", say.ROOM_HEAD, say.room_rows(found), 1),
            )
            if rows
        ],
        "said": tuple(say.said(found)),
        "caption": TRADE,
        "figure": trade_figure(found),
        "trade": (say.trade_head(found), say.trade_rows(found, len(found.trade))),
        "rough": say.ROUGH,
        "hand": tuple(one for one in sums if one[1]),
        "hand_hint": hand.HAND_HINT,
        "cautions": (DOSE_CAUTION, *CAUTIONS),
        "dated": dated,
    }
    return filled("doses.html.j2", content)
