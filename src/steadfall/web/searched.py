"""A search for doses as the page has it: done in a process beside it, which keeps what it found.

Rule of this file: what is kept here is that process's own; a page asks it for one row of what was found.
"""

from __future__ import annotations

import re
from typing import Any

from attrs import evolve, frozen

from steadfall.app.given.document import json_text
from steadfall.app.plan import read_typed
from steadfall.extras import opened
from steadfall.progress import Progress
from steadfall.source import AskError
from steadfall.web.shown import Offers, Shown
from steadfall.web.tasks import UNITS
from steadfall.words import _

PLACE = re.compile(r"@@ -(\d+).* @@\Z")  # where a stretch of changed lines begins
AGAIN = _("what was found is no longer there: search once more")


@frozen
class Search:
    """What is looked for: the aim, the share of the runs that must keep the limits, as it was typed ("": the
    odds are only told), in how many tries; and the text of the desk, before limits of this search alone were
    put into it.
    """

    aim: str
    odds: str
    tries: int
    desk: str


_LAST: list[Any] = []  # the last find, and the text of the desk it was searched from


def searched(text: str, name: str, search: Search, units: str, progress: Progress) -> Shown:
    """The doses that are best, and the others to choose from."""
    odds = opened("steadfall.app.dose").share(search.odds) if search.odds else None
    plan = read_typed(text, name)
    result = plan.dose(search.aim, odds=odds, tries=search.tries, progress=progress)
    _LAST[:] = [result, search.desk]
    return searched_in(units, progress)


def searched_in(units: str, _progress: Progress) -> Shown:
    """The same find, in metric or US units."""
    result = _last().in_units(UNITS[units])
    page = opened("steadfall.report.page.doses_figure")
    say = opened("steadfall.report.words.doses")
    found = result.found
    rows = tuple(say.trade_rows(found, len(found.trade)))
    offers = Offers(
        page.trade_figure(found, opens=True),
        say.trade_head(found),
        rows,
        tuple(say.said(found)),
        _change(result, _LAST[1]),
    )
    shown = Shown(result.page(), json_text(result.as_json()), found.plan.digest, verdict=say.heading(found))
    return evolve(shown, good=result.good, offers=offers)


def _change(result: Any, desk: str) -> str:
    """What the find would change in the text of the desk, each stretch behind its line; nothing where nothing
    was found.
    """
    if result.found.found is None:
        return ""
    made = opened("steadfall.app.dose").changed_lines(desk, result.text(), "plan")
    return "\n".join(PLACE.sub(f"{_('line')} \\1", line) for line in made.split("\n")[2:])


def offered(row: int, _progress: Progress) -> str:
    """The text with the numbers of one row of the trade-off."""
    return str(_last().offered(row))


def adopted(name: str, progress: Progress) -> Shown:
    """The text with the numbers that were found, proved; what refuses it."""
    result = _last()
    made = opened("steadfall.app.dose").adopt(result, name, progress)
    said = f"{_('refused by')}: {'; '.join(made.refusals)}" if made.refuted else ""
    unknown = f"{_('neither proved nor refuted')}: {', '.join(made.unknown)}" if made.unknown else ""
    words = "; ".join(filter(None, (said, unknown))) or _("every requirement holds")
    shown = Shown("", json_text(made.as_json()), result.found.plan.digest, verdict=words)
    return evolve(shown, good=made.written, text=made.text)


def _last() -> Any:
    if not _LAST:
        raise AskError(AGAIN)
    return _LAST[0]
