"""Charts of a run, drawn by the browser from what `/charts/` gives it."""

from __future__ import annotations

from collections.abc import Sequence

from nicegui import ui


def charts_here() -> None:
    """The page is one that draws charts."""
    ui.add_body_html('<script src="/look/figure.js" defer></script>')


def draw_charts(place: ui.element, way: str, number: int, titles: Sequence[str] = ()) -> None:
    """Draw the newest run of a sort into an element; of two side by side, each with its title."""
    given = f"{place.id}, {way!r}, {number}, {list(titles)}"
    ui.run_javascript(f"import('/look/charts.js').then((m) => m.show({given}))")
