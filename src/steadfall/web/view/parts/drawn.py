"""Charts of a run, drawn by the browser from what `/charts/` gives it, and the units of what is drawn."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence

from nicegui import ui

from steadfall.web.frame import choice
from steadfall.web.session import Session
from steadfall.web.tasks import UNITS
from steadfall.words import _

UNIT_WORDS = {"metric": _("metric"), "US": _("US customary")}


def unit_choice(session: Session, then: Callable[[], Awaitable[None]] | None = None) -> None:
    """In which units all results are shown that are made from now on; `then` shows those that are there."""

    async def chosen(units: str) -> None:
        session.units = units
        if then is not None:
            await then()

    choice(_("Units"), [(name, UNIT_WORDS[name]) for name in UNITS], session.units, chosen)


def charts_here() -> None:
    """The page is one that draws charts."""
    ui.add_body_html('<script src="/look/figure.js" defer></script>')


def draw_charts(place: ui.element, way: str, number: int, titles: Sequence[str] = ()) -> None:
    """Draw the newest run of a sort into an element; of two side by side, each with its title."""
    given = f"{place.id}, {way!r}, {number}, {list(titles)}"
    ui.run_javascript(f"import('/look/charts.js').then((m) => m.show({given}))")
