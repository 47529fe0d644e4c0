"""Limits and goals as numbered rows in words, the same in tables, summary and balloons on the curves."""

from __future__ import annotations

from collections.abc import Mapping

from attrs import frozen

from steadfall.plan.meaning.names import quantities
from steadfall.plan.meaning.rates import by_second
from steadfall.plan.model import Limit
from steadfall.predict.outcome.result import GoalResult, LimitResult, Prediction
from steadfall.predict.outcome.verdict import Verdict
from steadfall.quantities import PER_MINUTE, PER_SECOND, Reading, Units, clock
from steadfall.report.words.grids import finer_words
from steadfall.report.words.names import sentence


@frozen
class Item:
    """A row: its name and number, the sentence of the plan, the worst value and when, the finer grid's
    figure, the verdict in a word, the plan's line.
    """

    name: str  # `limit 3`
    number: int
    of: str
    sentence: str
    worst: str
    when: str
    finer: str  # nothing where it hardly differs
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
        finer = f", {self.finer} on a finer grid" if self.finer else ""
        return f"{self.sentence}: {self.worst}{moment}{finer}, {self.verdict}"


def limit_reading(limit: Limit, of: Reading) -> Reading:
    """The unit of a limit's value: that of its quantity, or a rate by the minute or by the second as the plan
    has it.
    """
    if limit.measure == "value":
        return of
    return PER_SECOND if by_second(limit) else PER_MINUTE


def limit_items(prediction: Prediction) -> tuple[Item, ...]:
    """Every limit, numbered from 1 in the plan's order."""
    known = quantities(prediction.plan)
    return tuple(
        _limit_item(number, result, known[result.limit.of].reading, prediction.units)
        for number, result in enumerate(prediction.limits, start=1)
    )


def goal_items(prediction: Prediction) -> tuple[Item, ...]:
    """Every goal, numbered on from the limits."""
    first = len(prediction.limits) + 1
    known = quantities(prediction.plan)
    return tuple(
        _goal_item(number, result, prediction.units.of(known[result.goal.of].reading))
        for number, result in enumerate(prediction.goals, start=first)
    )


NEVER = "never applied"
VERDICTS: Mapping[Verdict, str] = {
    Verdict.KEPT: "kept",
    Verdict.BROKEN: "BROKEN",
    Verdict.NOT_RESOLVED: "NOT RESOLVED",
}


def _limit_item(number: int, result: LimitResult, of: Reading, units: Units) -> Item:
    limit = result.limit
    own, reading = units.of(limit_reading(limit, of)), units.of(of)

    def text(worst: float | None) -> str:
        return NEVER if worst is None else own.text(worst)

    return Item(
        name=f"limit {number}",
        number=number,
        of=limit.of,
        sentence=sentence(limit.text),
        worst=text(result.worst),
        when=clock(result.time_ms) if result.time_ms is not None else "",
        finer=finer_words(result.worst, result.finer, result.verdict, own.of, text),
        verdict=VERDICTS[result.verdict],
        kept=result.kept,
        line=limit.at.own.line,
        time_ms=result.time_ms,
        value=result.worst if limit.measure == "value" else None,
        reading=reading,
    )


def _goal_item(number: int, result: GoalResult, reading: Reading) -> Item:
    goal = result.goal
    reached = result.reached_ms is not None
    at = None if result.reached_ms is None else result.reached_ms / 1000
    return Item(
        name=f"goal {number}",
        number=number,
        of=goal.of,
        sentence=sentence(goal.text),
        worst=reading.text(goal.value if reached else result.nearest),
        when=clock(result.reached_ms if result.reached_ms is not None else result.nearest_ms),
        finer=finer_words(at, result.finer, result.verdict, lambda seconds: seconds, reached_words),
        verdict=_goal_verdict(result),
        kept=result.kept,
        line=goal.at.own.line,
        time_ms=result.reached_ms if result.reached_ms is not None else result.nearest_ms,
        value=goal.value if reached else result.nearest,
        reading=reading,
    )


def reached_words(seconds: float | None) -> str:
    """When a goal is reached."""
    return "not reached" if seconds is None else clock(1000 * seconds)


def _goal_verdict(result: GoalResult) -> str:
    if result.verdict is Verdict.NOT_RESOLVED:
        return VERDICTS[result.verdict]
    if result.kept:
        return "reached in time"
    return "NOT REACHED" if result.reached_ms is None else "reached LATE"
