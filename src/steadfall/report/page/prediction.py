"""The report as one HTML file that needs nothing else: no network, no script to be complete, always the same
bytes.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from steadfall.predict.outcome.result import BOOKS_CLOSE_TO, Prediction
from steadfall.quantities import DRAINED, PRESSURE, USED, clock
from steadfall.report.figure.figure import draw_figure
from steadfall.report.figure.sheets import first_figure, whole_figure
from steadfall.report.page.packed import packed
from steadfall.report.page.paper import filled, script_safe, written
from steadfall.report.sketch.draw import draw_sketch, style
from steadfall.report.sketch.piping import piping
from steadfall.report.sketch.stages import stage_table
from steadfall.report.text.prediction import life_words
from steadfall.report.words.cautions import CAUTIONS
from steadfall.report.words.grids import grid_words
from steadfall.report.words.happened import events
from steadfall.report.words.heat import heat_head, heat_rows
from steadfall.report.words.items import goal_items, limit_items
from steadfall.report.words.names import spoken
from steadfall.report.words.notes import told
from steadfall.report.words.odds import HEAD, driver_words, heading, odds_rows, whole_rows
from steadfall.report.words.strains import steam_head, steam_rows, strain_rows
from steadfall.report.words.verdict import SIGNS, verdict

NAME = "report.html"
MOMENTS = 40  # rows of stages entered, for each circuit

CIRCUIT_HEAD = (
    *(("Water in", USED), ("Evaporated", USED), ("Left in it", USED), ("Air in", USED)),
    *(("Heat taken up", DRAINED), ("Peak pressure", PRESSURE)),
)


def write_report(prediction: Prediction, folder: Path, *, dated: str = "") -> Path:
    """Write `report.html` into the folder and give its path; without a date there is room to write one.

    Raises OutsideError when jinja2 is not installed or the folder cannot be written.
    """
    return written(page(prediction, dated=dated), Path(folder) / NAME)


def page(prediction: Prediction, *, dated: str = "") -> str:
    """The report as text."""
    return filled("page.html.j2", {**_content(prediction), "dated": dated})


def _content(prediction: Prediction) -> Mapping[str, Any]:
    """Everything that the template speaks of."""
    figures = [
        figure for figure in (whole_figure(prediction), first_figure(prediction)) if figure is not None
    ]
    return {
        "data": script_safe(packed(figures)),
        "sketch_style": style(),
        "piping": draw_sketch(piping(prediction.plan)),
        "table": draw_sketch(stage_table(prediction.plan)),
        "figures": [(figure.caption, draw_figure(figure)) for figure in figures],
        "prediction": prediction,
        "notes": list(told(prediction.notes)),
        "plan": prediction.plan,
        "verdict": verdict(prediction),
        "sign": SIGNS[prediction.verdict],
        "grids": grid_words(prediction),
        "limits": limit_items(prediction),
        "goals": goal_items(prediction),
        "circuit_head": [(words, prediction.units.of(of).symbol) for words, of in CIRCUIT_HEAD],
        "circuits": _circuit_rows(prediction),
        "heat_head": heat_head(prediction),
        "heat": heat_rows(prediction),
        "odds": odds_rows(prediction),
        "odds_head": HEAD,
        "odds_whole": () if prediction.bands is None else whole_rows(prediction.bands),
        "odds_heading": "" if prediction.bands is None else heading(prediction.bands),
        "drivers": "" if prediction.bands is None else driver_words(prediction.bands),
        "strains": strain_rows(prediction),
        "steam_head": steam_head(prediction),
        "steam": steam_rows(prediction) if prediction.strains else (),
        "valves": _valve_rows(prediction),
        "moments": _moment_rows(prediction),
        "events": events(prediction),
        "books": [
            (name, f"{error:.1e}", abs(error) <= BOOKS_CLOSE_TO) for name, error in prediction.balance.items()
        ],
        "cautions": CAUTIONS,
        "lines": prediction.plan.text.splitlines(),
    }


def _circuit_rows(prediction: Prediction) -> list[tuple[str, ...]]:
    mass, heat, pressure = (prediction.units.of(one) for one in (USED, DRAINED, PRESSURE))
    return [
        (
            spoken(use.circuit),
            *(mass.number(kg) for kg in (use.water, use.evaporated, use.water_left, use.air)),
            heat.number(use.heat),
            pressure.number(use.peak_pressure),
            clock(use.peak_ms),
        )
        for use in prediction.circuits
    ]


def _valve_rows(prediction: Prediction) -> list[tuple[str, ...]]:
    return [
        (use.valve, f"{use.openings:,}", clock(use.open_s * 1000), life_words(use.life_share))
        for use in prediction.valves
    ]


def _moment_rows(prediction: Prediction) -> list[tuple[str, list[tuple[str, str]]]]:
    """Circuit by circuit, the stages entered and when; of very many the first, and how many more."""
    return [(spoken(name), _entered(prediction, name)) for name in prediction.plan.circuits]


def _entered(prediction: Prediction, circuit: str) -> list[tuple[str, str]]:
    rows = [(clock(m.time_ms), spoken(m.stage)) for m in prediction.moments if m.circuit == circuit]
    more = len(rows) - MOMENTS
    return rows if more <= 0 else [*rows[:MOMENTS], ("", f"and {more} more, on the ribbon")]
