"""What a search could have found in a small plan: made up, since nothing is searched and nothing is run."""

from __future__ import annotations

from collections.abc import Sequence

from steadfall.dose.aim import Aim
from steadfall.dose.found import Doses
from steadfall.dose.hunt import Judged
from steadfall.dose.variable import Point, Variable, own
from steadfall.dose.variables import variables
from steadfall.dose.work import Outcome
from steadfall.plan.model import Plan
from tests.report.invented import invented


def found_in(plan: Plan) -> Doses:
    """Three rows of a trade-off; the first of them is found, and its first dose is a step longer."""
    known = variables(plan)
    given = own(plan, known)
    rows = [_longer(known, given, step) for step in (1, 2, 3)]
    trade = {row: Outcome(900.0 + 60 * k, 80.0 - 5 * k, 120 - k, {}) for k, row in enumerate(rows)}
    result = invented(plan)
    before = Judged(given, Outcome(1000.0, 85.0, 130, {}), result)
    best = Judged(rows[0], trade[rows[0]], result)
    return Doses(plan, Aim.TIME, known, 24, stopped=False, given=before, found=best, rough=None, trade=trade)


def _longer(known: Sequence[Variable], given: Point, steps: int) -> Point:
    return (min(given[0] + steps, len(known[0].values) - 1), *given[1:])
