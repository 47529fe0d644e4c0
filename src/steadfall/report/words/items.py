"""Limits and goals as numbered rows in words, the same in tables, summary and balloons on the curves."""

from __future__ import annotations

from attrs import frozen

from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Limit
from steadfall.predict.result import GoalResult, LimitResult, Prediction
from steadfall.quantities import PER_MINUTE, PER_SECOND, Reading, clock


@frozen
class Item:
    """A row: its number, the sentence of the plan, the worst value and when, the verdict in a word, the
    plan's line.
    """

    number: int
    of: str
    sentence: str
    worst: str
    when: str
    verdict: str
    kept: bool
    line: int
    time_ms: int | None
    value: float | None  # SI, on the curve of the quantity; None for a rate
    reading: Reading  # of the quantity

    @property
    def words(self) -> str:
        """The row in one sentence."""
        moment = f" at {self.when}" if self.time_ms is not None else ""
        return f"{self.sentence}: {self.worst}{moment}, {self.verdict}"


def limit_reading(limit: Limit, of: Reading) -> Reading:
    """The unit of a limit's value: that of its quantity, or a rate by the minute or by the second as the plan
    has it.
    """
    if limit.measure != "fall_rate":
        return of
    return PER_SECOND if "K/s" in limit.text or limit.window < SLOWEST_BY_SECOND else PER_MINUTE


SLOWEST_BY_SECOND = 10.0  # s: a rate over a shorter window is read by the second


def limit_items(prediction: Prediction) -> tuple[Item, ...]:
    """Every limit, numbered from 1 in the plan's order."""
    known = quantities(prediction.plan)
    return tuple(
        _limit_item(number, result, known[result.limit.of].reading)
        for number, result in enumerate(prediction.limits, start=1)
    )


def goal_items(prediction: Prediction) -> tuple[Item, ...]:
    """Every goal, numbered on from the limits."""
    first = len(prediction.limits) + 1
    known = quantities(prediction.plan)
    return tuple(
        _goal_item(number, result, known[result.goal.of].reading)
        for number, result in enumerate(prediction.goals, start=first)
    )


def _limit_item(number: int, result: LimitResult, reading: Reading) -> Item:
    limit = result.limit
    return Item(
        number=number,
        of=limit.of,
        sentence=limit.text.replace("fall_rate", "fall rate"),
        worst="never applied" if result.worst is None else limit_reading(limit, reading).text(result.worst),
        when=clock(result.time_ms) if result.time_ms is not None else "",
        verdict="kept" if result.kept else "BROKEN",
        kept=result.kept,
        line=limit.at.own.line,
        time_ms=result.time_ms,
        value=result.worst if limit.measure == "value" else None,
        reading=reading,
    )


def _goal_item(number: int, result: GoalResult, reading: Reading) -> Item:
    goal = result.goal
    reached = result.reached_ms is not None
    return Item(
        number=number,
        of=goal.of,
        sentence=goal.text,
        worst=reading.text(goal.value if reached else result.nearest),
        when=clock(result.reached_ms if result.reached_ms is not None else result.nearest_ms),
        verdict=_goal_verdict(result),
        kept=result.kept,
        line=goal.at.own.line,
        time_ms=result.reached_ms if result.reached_ms is not None else result.nearest_ms,
        value=goal.value if reached else result.nearest,
        reading=reading,
    )


def _goal_verdict(result: GoalResult) -> str:
    if result.kept:
        return "reached in time"
    return "NOT REACHED" if result.reached_ms is None else "reached LATE"


def verdict(prediction: Prediction) -> str:
    """The prediction in one or two sentences."""
    parts = [_limits_words(prediction), _goals_words(prediction), _strain_words(prediction)]
    if not prediction.complete:
        parts.append(f"The run stopped early at {clock(prediction.end_ms)}: {prediction.ended}")
    if not prediction.books_close:
        parts.append("THE BOOKS DO NOT CLOSE: do not rely on this prediction")
    return " ".join(part.rstrip(".") + "." for part in parts if part)


def _limits_words(prediction: Prediction) -> str:
    count = len(prediction.limits)
    broken = [item for item in limit_items(prediction) if not item.kept]
    if not count:
        return "The plan sets no limit"
    if not broken:
        return "The one limit is kept" if count == 1 else f"All {count} limits are kept"
    return f"{len(broken)} of {count} limits {'is' if len(broken) == 1 else 'are'} BROKEN"


def _strain_words(prediction: Prediction) -> str:
    """Which part went through more than it is rated for; nothing when none did."""
    broken = [f"{strain.what} in {strain.about}" for strain in prediction.strains if not strain.kept]
    return f"Rated values are EXCEEDED: {', '.join(broken)}" if broken else ""


def _goals_words(prediction: Prediction) -> str:
    goals = prediction.goals
    if not goals:
        return "The plan sets no goal"
    missed = [result for result in goals if not result.kept]
    if missed:
        return (
            f"{len(missed)} of {len(goals)} goals {'is' if len(missed) == 1 else 'are'} not reached in time"
        )
    last = max(result.reached_ms or 0 for result in goals)
    if len(goals) == 1:
        return f"The goal is reached after {clock(last)}"
    return f"All {len(goals)} goals are reached, the last after {clock(last)}"
