"""A table of single failures as one HTML file that needs nothing else, in the look of the other reports."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve

from steadfall.predict.outcome.result import Prediction
from steadfall.report.figure.figure import draw_figure
from steadfall.report.figure.sheets import whole_figure
from steadfall.report.page.packed import packed
from steadfall.report.page.paper import filled, script_safe
from steadfall.report.words import upset as say
from steadfall.report.words.cautions import CAUTIONS
from steadfall.upset.outcome import Harm
from steadfall.upset.table import Table


def upset_page(found: Table, drawn: Sequence[Prediction], *, dated: str = "") -> str:
    """The page as text."""
    rows = say.folded(found)
    figures = [evolve(whole_figure(one), name=f"run-{n}") for n, one in enumerate(drawn, start=1)]
    titles = [f"{one.scenario}: the whole run, on the coarse grid" for one in drawn]
    content = {
        "plan": found.plan,
        "good": found.good,
        "verdict": say.heading(found),
        "harmful": [row for row in rows if row.row.harm is not Harm.NONE],
        "calm": [row for row in rows if row.row.harm is Harm.NONE],
        "usual": say.usual(found),
        "said": tuple(say.said(found)),
        "figures": [(title, draw_figure(one)) for title, one in zip(titles, figures, strict=True)],
        "data": script_safe(packed(figures)),
        "cautions": (("A study", say.SUPPORTS), *CAUTIONS),
        "dated": dated,
    }
    return filled("upset.html.j2", content)
