"""Bands and odds in words: the same in the summary and in the report."""

from __future__ import annotations

from steadfall.predict.outcome.result import GoalResult, LimitResult, Prediction
from steadfall.predict.outcome.spread import Bands, Odds, Range
from steadfall.predict.outcome.verdict import Verdict
from steadfall.quantities import Reading, Units
from steadfall.report.words.items import goal_items, limit_items, limit_reading, reached_words

HEAD = ("", "kept in", "5 %", "50 %", "95 %")


def share_words(odds: Odds) -> str:
    """The share of the runs with its interval: `94 % (89 to 97 %)`."""
    return f"{100 * odds.share:.0f} % ({100 * odds.low:.0f} to {100 * odds.high:.0f} %)"


def heading(bands: Bands) -> str:
    """What was run, in a sentence."""
    stopped = f"; {bands.stopped} of them stopped early and count as broken" if bands.stopped else ""
    return (
        f"{bands.runs} runs on the coarse setting, shifted by what that setting misses in this "
        "prediction; each number "
        "anywhere within its tolerance and the model within its own uncertainty (seed "
        f"{bands.seed}){stopped}. Shares "
        "with their 95 % confidence interval; the 5, 50 and 95 % points of a limit's worst value, of a "
        "goal's moment."
    )


def whole_rows(bands: Bands) -> tuple[tuple[str, str], ...]:
    """All limits and ratings together, then with the goals."""
    return tuple((odds.what, share_words(odds)) for odds in (bands.limits, bands.good))


def odds_rows(prediction: Prediction) -> tuple[tuple[str, ...], ...]:
    """Limit by limit and goal by goal, by the numbers that they have in their tables, with the points.

    Every run is on one grid, so that what hangs on the grid is said here again.
    """
    bands = prediction.bands
    if bands is None:
        return ()
    results: tuple[LimitResult | GoalResult, ...] = (*prediction.limits, *prediction.goals)
    items = (*limit_items(prediction), *goal_items(prediction))
    return tuple(
        (
            f"{item.name}{', not resolved' if result.verdict is Verdict.NOT_RESOLVED else ''}",
            share_words(odds),
            *points(one, result, item.reading, prediction.units),
        )
        for odds, one, result, item in zip(bands.each, bands.ranges, results, items, strict=True)
    )


def points(one: Range, result: LimitResult | GoalResult, of: Reading, units: Units) -> tuple[str, str, str]:
    """The three points as a person reads them; `of` is how their quantity is read."""
    values = (one.low, one.mid, one.high)
    if isinstance(result, GoalResult):
        low, mid, high = (reached_words(value) for value in values)
    else:
        reading = units.of(limit_reading(result.limit, of))
        low, mid, high = ("-" if value is None else reading.text(value) for value in values)
    return low, mid, high


def driver_words(bands: Bands) -> str:
    """What the time depends on most, in a sentence; nothing where no goal was reached often enough."""
    if not bands.drivers:
        return ""
    named = ", ".join(f"{one.what} ({one.correlation:+.2f})" for one in bands.drivers)
    return f"The time to the last goal follows (rank correlation, -1 to 1): {named}."
