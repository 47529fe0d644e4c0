"""Sizes a plan: every supply, valve, line, outlet, relief and drain, in the order of the plan."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.plan.meaning.settled import settled
from steadfall.plan.model import Plan
from steadfall.predict.outcome.result import Prediction
from steadfall.size.doses import by_hand
from steadfall.size.row import Row
from steadfall.size.rows.lines import own_line
from steadfall.size.rows.outlets import outlet_rows
from steadfall.size.rows.supplies import sharings, supply_rows
from steadfall.size.rows.valves import valve_rows
from steadfall.size.sizes import Sizes
from steadfall.size.works import Works, works

HAND = (
    "nothing boils in these flows: they are the most that cold water and air reach, valve fully open; steam "
    "in a hot circuit holds water back"
)
COARSE = (
    "what a batch uses, and its most steam, are those of a coarse prediction ({0}): water within some 12 % "
    "of the fine setting on the example plans; steadfall predict says it finer"
)
NO_LINE = "no speed and no surge without a line in the plan: {0}"
UNFINISHED = "the batch did not run to its end: {0}"
NO_GOAL = "the plan has no goal, so that nothing says how much water is asked"


def size(plan: Plan, batch: Prediction) -> Sizes:
    """Size a plan by hand formulas, and by what a prediction says that a batch takes.

    Settings are at their defaults; the shortest opening and pause are those of their low ends.
    """
    found = works(settled(plan), batch)
    shared = sharings(found)
    rows = [row for one in shared.values() for row in supply_rows(found, one)]
    rows += _rows(found)
    return Sizes(plan, tuple(rows), shared, by_hand(found), batch, tuple(_notes(found)))


def _rows(found: Works) -> Iterator[Row]:
    for kind, circuits in found.kinds():
        for one in found.inlets_of(kind):
            yield from valve_rows(found, one)
            yield from own_line(found.plan, one)
        yield from outlet_rows(found, kind, circuits)


def _notes(found: Works) -> Iterator[str]:
    yield HAND
    yield COARSE.format(found.batch.scenario)
    if not found.batch.complete:
        yield UNFINISHED.format(found.batch.ended)
    if not found.plan.goals:
        yield NO_GOAL
    bare = [one.about for one in found.inlets if one.drawn.is_water and one.drawn.valve.line is None]
    if bare:
        yield NO_LINE.format(", ".join(bare).replace("_", " "))
