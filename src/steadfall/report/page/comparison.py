"""A comparison as one HTML file that needs nothing else, in the look of the other reports."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from steadfall.plan.revise.changes import Change
from steadfall.predict.outcome.effect import Effect
from steadfall.prove.compare.apart import Apart, Side
from steadfall.prove.compare.compared import EQUAL, STAGE, UNKNOWN, Comparison
from steadfall.report.figure.figure import draw_figure
from steadfall.report.page.comparison_figure import parting_figure
from steadfall.report.page.packed import packed
from steadfall.report.page.paper import filled, script_safe
from steadfall.report.words import comparison as say
from steadfall.report.words.cautions import CAUTIONS, TRUSTED_CAUTION
from steadfall.report.words.effect import HEAD, effect_rows

NAME = "compare.html"
ABOUT = (
    "What is compared",
    "The control logic of the two: not the plants, the wiring, the instruments, nor a controller that is "
    "programmed "
    "otherwise. That two do the same does not say that either does right.",
)
GROUPS = (("for the controller", True), ("for the plant and what is asked of it", False))


def comparison_page(
    found: Comparison,
    sides: tuple[Side, Side],
    changed: Sequence[Change] | None,
    shown: Sequence[Apart],
    *,
    effect: Sequence[Effect] | None = None,
    dated: str = "",
) -> str:
    """The page as text; `shown` are the partings that are drawn, the earliest first. `effect` is what both
    were predicted to do. Without a date there is room to write one.
    """
    own = dict.fromkeys(row.identity.circuit for row in found.valves)
    circuits = {circuit: found.names.in_second(circuit) for circuit in own if circuit}
    figures = [parting_figure(one, sides, f"run-{place}", circuits) for place, one in enumerate(shown, 1)]
    links = {name: f"apart-{place}" for place, one in enumerate(shown, 1) for name in one.outputs}
    titles = sides[0].title, sides[1].title
    content: Mapping[str, Any] = {
        "found": found,
        "sides": sides,
        "verdict": say.verdict(found),
        "good": found.good,
        "circuits": list(say.circuits(found)),
        "rows": [
            (row, say.said(row), say.shown_by(row), found.names.in_second(row.name), links.get(row.name, ""))
            for row in found.each
        ],
        "STAGE": STAGE,
        "EQUAL": EQUAL,
        "UNKNOWN": UNKNOWN,
        "notes": list(say.notes(found, titles)),
        "about": say.about(found),
        "engine_note": say.engine_note(found.valves),
        "changes": None if changed is None else list(_groups(changed)),
        "dated": dated,
        "effect": None if effect is None else effect_rows(effect, titles),
        "effect_head": HEAD,
        "apart": [
            (f"apart-{place}", one, say.after(one.parting.at_ms), figure.caption, draw_figure(figure))
            for place, (one, figure) in enumerate(zip(shown, figures, strict=True), 1)
        ],
        "cautions": (ABOUT, TRUSTED_CAUTION, *(row for row in CAUTIONS if row[0] != "Estimate")),
        "data": script_safe(packed(figures)),
    }
    return filled("compare.html.j2", content)


def _groups(changed: Sequence[Change]) -> Sequence[tuple[str, list[Change]]]:
    groups = ((head, [row for row in changed if row.of_controller is own]) for head, own in GROUPS)
    return [(head, rows) for head, rows in groups if rows]
