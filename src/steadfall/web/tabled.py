"""Sizes and failures as the page has them: made in a process beside it, which keeps the last of each.

Rule of this file: what is kept here is that process's own; a page asks it to say the same in other units, or
for one row.
"""

from __future__ import annotations

from typing import Any

from attrs import evolve

from steadfall.app.given.document import dense_text, json_text
from steadfall.app.plan import read_typed
from steadfall.extras import opened
from steadfall.progress import Progress
from steadfall.source import AskError
from steadfall.web.shown import Shown
from steadfall.web.tasks import UNITS, shown_of
from steadfall.words import _

AGAIN = _("the table is no longer there: try every failure once more")
SIZE_AGAIN = _("the sizes are no longer there: size once more")
_TABLE: list[Any] = []  # of failures: the last one
_SIZES: list[Any] = []


def sized(text: str, name: str, units: str, progress: Progress) -> Shown:
    """The sizes of supplies, lines, valves, outlets, reliefs and drains."""
    _SIZES[:] = [read_typed(text, name).size(progress=progress)]
    return sized_in(units, progress)


def sized_in(units: str, _progress: Progress) -> Shown:
    """The same sizes, in metric or US units."""
    result = _kept(_SIZES, SIZE_AGAIN).in_units(UNITS[units])
    return shown_of(result, result.found.plan.digest)


def upset(text: str, name: str, units: str, progress: Progress) -> Shown:
    """The table of single failures, worst first, with the curves of the worst."""
    _TABLE[:] = [read_typed(text, name).upset(progress=progress)]
    return upset_in(units, progress)


def upset_in(units: str, progress: Progress) -> Shown:
    """The same table, in metric or US units."""
    result = _kept(_TABLE, AGAIN).in_units(UNITS[units])
    say = opened("steadfall.report.words.upset")
    shown = shown_of(result, result.found.plan.digest, result.page(progress=progress))
    return evolve(shown, verdict=say.heading(result.found), table=(say.HEAD, *say.cells(result.found)))


def failed(row: int, units: str, progress: Progress) -> Shown:
    """The whole run of one row of the table, with the one in which nothing fails behind it."""
    drawn = _kept(_TABLE, AGAIN).drawn(row, progress)
    result, usual = (evolve(one, units=UNITS[units]) for one in drawn)
    charts = dense_text(opened("steadfall.report.page.charts").charts(result, usual))
    said = f"{result.scenario}. {opened('steadfall.report.words.verdict').verdict(result)}"
    return Shown("", json_text(result.as_json()), result.plan.digest, charts, said, result.good)


def _kept(last: list[Any], again: str) -> Any:
    if not last:
        raise AskError(again)
    return last[0]
