"""A prediction in some sentences: what is kept, what is broken, what hangs on the grid."""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.predict.outcome.result import GoalResult, LimitResult, Prediction
from steadfall.predict.outcome.verdict import Verdict
from steadfall.quantities import clock
from steadfall.report.words.items import goal_items, limit_items
from steadfall.report.words.odds import share_words

SIGNS: Mapping[Verdict, str] = {
    Verdict.KEPT: "GOOD",
    Verdict.BROKEN: "NOT GOOD",
    Verdict.NOT_RESOLVED: "NOT RESOLVED",
    Verdict.NOT_ASKED: "NOTHING ASKED",
    Verdict.NO_PLANT: "TIMING ONLY",
    Verdict.NOT_SURE: "NOT SURE",
}


NO_PLANT = (
    "The plan has no plant. This shows what the controller does over time, its inputs as the scenario sets "
    "them; it says nothing of temperature, pressure, water or how long cooling takes."
)


def verdict(prediction: Prediction) -> str:
    """The prediction in some sentences."""
    if not prediction.plan.has_plant:
        return NO_PLANT
    parts = [
        _limits_words(prediction),
        _goals_words(prediction),
        _strain_words(prediction),
        _open_words(prediction),
        _odds_words(prediction),
    ]
    if not prediction.complete:
        parts.append(f"The run stopped early at {clock(prediction.end_ms)}: {prediction.ended}")
    if not prediction.books_close:
        parts.append("THE BOOKS DO NOT CLOSE: do not rely on this prediction")
    return " ".join(part.rstrip(".") + "." for part in parts if part)


def _limits_words(prediction: Prediction) -> str:
    count = len(prediction.limits)
    broken = [result for result in prediction.limits if result.verdict is Verdict.BROKEN]
    if not count:
        return "The plan sets no limit" if prediction.goals else "The plan sets no limit and no goal"
    if all(result.kept for result in prediction.limits):
        return "The one limit is kept" if count == 1 else f"All {count} limits are kept"
    if not broken:
        return "No limit is broken"
    return f"{len(broken)} of {count} limits {'is' if len(broken) == 1 else 'are'} BROKEN"


def _odds_words(prediction: Prediction) -> str:
    """What the runs round this one say of all together; nothing where they were not asked for."""
    bands = prediction.bands
    if bands is None or not (prediction.limits or prediction.goals):
        return ""
    return f"All of it is kept in {share_words(bands.good)} of {bands.runs} runs within the tolerances"


def _strain_words(prediction: Prediction) -> str:
    """Which part went through more than it is rated for; nothing when none did."""
    broken = [
        f"{strain.what} in {strain.about}"
        for strain in prediction.strains
        if strain.verdict is Verdict.BROKEN
    ]
    return f"Rated values are EXCEEDED: {', '.join(broken)}" if broken else ""


def _open_words(prediction: Prediction) -> str:
    """What hangs on the grid; nothing where nothing does."""
    items = (*limit_items(prediction), *goal_items(prediction))
    results: tuple[LimitResult | GoalResult, ...] = (*prediction.limits, *prediction.goals)
    rows = [
        item.name
        for item, result in zip(items, results, strict=True)
        if result.verdict is Verdict.NOT_RESOLVED
    ]
    rows += [
        f"{strain.what} in {strain.about}"
        for strain in prediction.strains
        if strain.verdict is Verdict.NOT_RESOLVED
    ]
    if prediction.complete and not all(grid.complete for grid in prediction.finer):
        rows.append("the end of the run")
    return f"What hangs on the grid: {', '.join(rows)}" if rows else ""


def _goals_words(prediction: Prediction) -> str:
    goals = prediction.goals
    if not goals:
        return "The plan sets no goal" if prediction.limits else ""
    missed = [result for result in goals if result.verdict is Verdict.BROKEN]
    if not missed and any(result.verdict is Verdict.NOT_RESOLVED for result in goals):
        return "Whether the goals are reached in time is open"
    if missed:
        return (
            f"{len(missed)} of {len(goals)} goals {'is' if len(missed) == 1 else 'are'} not reached in time"
        )
    last = max(result.reached_ms or 0 for result in goals)
    if len(goals) == 1:
        return f"The goal is reached after {clock(last)}"
    return f"All {len(goals)} goals are reached, the last after {clock(last)}"
