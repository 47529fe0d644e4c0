"""Bands and odds: a seeded Latin hypercube over tolerances and the model's own uncertainty.

Rule of this file: the one door to scipy (extra `bands`). A tolerance is taken as equally likely anywhere
within it, a factor of the model as equally likely in its logarithm, all independent of each other; within a
run one factor holds for a correlation wherever it is used, in every circuit and cell. Intervals are Clopper
and Pearson's, exact for independent draws; a hypercube spreads its draws more evenly, so that they err on the
wide side.
"""

from __future__ import annotations

import numpy as np
from attrs import evolve
from numpy.typing import NDArray
from scipy.stats import binomtest, qmc, spearmanr

from steadfall.plan.model import Limit, Plan
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.outcome.spread import PERCENT, Band, Bands, Driver, Odds, Range, Survey
from steadfall.predict.run import coarse, predict
from steadfall.predict.survey.sweep import TASKS_PER_WORKER, Outcome, Task, names, outcome, sweep
from steadfall.progress import Progress

CONFIDENCE = 0.95
MOMENTS = 240  # of each curve
FEWEST_TO_RANK = 20  # runs that reached the last goal, below which no driver is named
LEAST_CORRELATION = 0.2  # about twice the scatter of a rank correlation of 100 independent pairs
MOST_DRIVERS = 6
Reals = NDArray[np.float64]


def bands(result: Prediction, survey: Survey, progress: Progress) -> Bands:
    """What the runs round a prediction say, in the scenario of that prediction."""
    plan = result.plan
    varied = names(plan)
    cube: Reals = qmc.LatinHypercube(len(varied), rng=np.random.default_rng(survey.seed)).random(survey.runs)
    times = np.linspace(0.0, result.end_ms / 1000, MOMENTS)
    settings = coarse(plan)
    size = max(1, -(-survey.runs // (survey.crew.many * TASKS_PER_WORKER)))
    firsts = range(0, survey.runs, size)
    tasks = [Task(plan, result.scenario, settings, k, cube[k : k + size], times) for k in firsts]
    same = outcome(-1, predict(plan, result.scenario, settings), times)
    judged, coldest = outcome(-1, result, times), _coldest(plan)
    runs = [refined(one, same, judged, coldest) for one in sweep(tasks, survey.crew, progress)]
    limits = [[_kept(limit, one.worst[i]) for one in runs] for i, limit in enumerate(plan.limits)]
    goals = [[one.reached[i] <= goal.within for one in runs] for i, goal in enumerate(plan.goals)]
    said = (*(limit.text for limit in plan.limits), *(goal.text for goal in plan.goals))
    rated = [one.complete and _rated(result, one) for one in runs]
    kept = [all(each) for each in zip(rated, *limits, strict=True)]
    return Bands(
        runs=survey.runs,
        seed=survey.seed,
        stopped=sum(not one.complete for one in runs),
        limits=odds("every limit and rating is kept", kept),
        good=odds(
            "and every goal is reached in time", [all(each) for each in zip(kept, *goals, strict=True)]
        ),
        each=tuple(odds(text, row) for text, row in zip(said, (*limits, *goals), strict=True)),
        ranges=_ranges(plan, runs),
        curves=_curves(plan, runs, times),
        drivers=_drivers(varied, cube, runs),
        tolerances=varied,
    )


def refined(one: Outcome, same: Outcome, judged: Outcome, coldest: float) -> Outcome:
    """An outcome shifted by what the coarse setting misses: `judged` minus `same`, one plan on both settings.

    Long steps overstate the pressure of a dose and the shock of the wall; the shift keeps odds, points and
    curves comparable with the prediction that they surround (a control variate with a weight of one). No
    curve goes below the coldest there is, or above all starts.
    """
    strains = {
        key: value + judged.strains.get(key, 0.0) - same.strains[key]
        if key in judged.strains and key in same.strains
        else value
        for key, value in one.strains.items()
    }  # fmt: skip
    return evolve(
        one,
        worst=_shifted(one.worst, same.worst, judged.worst),
        reached=_shifted(one.reached, same.reached, judged.reached),
        strains=strains,
        curves=np.clip(
            one.curves + judged.curves - same.curves,
            min(coldest, one.curves.min()),
            max(one.curves.max(), judged.curves.max()),
        ),
    )


def _coldest(plan: Plan) -> float:
    """The coldest of water, air and hall."""
    return min(plan.ambient, *(one.temperature for one in plan.supplies.values()))


def _shifted(
    values: tuple[float, ...], same: tuple[float, ...], judged: tuple[float, ...]
) -> tuple[float, ...]:
    """Each value and the difference; none where either run has no such value."""
    differences = np.nan_to_num(np.array(judged) - np.array(same), nan=0.0)
    return tuple(float(value) for value in np.array(values) + differences)


def _kept(limit: Limit, worst: float) -> bool:
    """Whether a limit was kept; one that never applied was."""
    return bool(
        np.isnan(worst) or (worst >= limit.value if limit.bound == "at_least" else worst <= limit.value)
    )


def _rated(result: Prediction, one: Outcome) -> bool:
    """Whether every part stayed within what it is rated for."""
    bounds = {(strain.about, strain.what): strain.bound for strain in result.strains}
    return all(bounds.get(key) is None or value <= (bounds[key] or 0.0) for key, value in one.strains.items())


def odds(what: str, kept: list[bool]) -> Odds:
    """How many, with the exact interval."""
    count, runs = sum(kept), len(kept)
    interval = binomtest(count, runs).proportion_ci(CONFIDENCE, method="exact")
    return Odds(what, count, runs, float(interval.low), float(interval.high))


def _ranges(plan: Plan, outcomes: list[Outcome]) -> tuple[Range, ...]:
    limits = [
        _range(one.text, one.of, np.array([run.worst[i] for run in outcomes]), one.bound == "at_least")
        for i, one in enumerate(plan.limits)
    ]
    goals = [
        _range(one.text, "", np.array([run.reached[i] for run in outcomes]), missing_is_low=False)
        for i, one in enumerate(plan.goals)
    ]
    return (*limits, *goals)


def _range(what: str, of: str, values: Reals, missing_is_low: bool) -> Range:
    """Percentiles; a goal that was never reached, or a limit that never applied, counts as beyond the end."""
    filled = np.sort(np.where(np.isnan(values), -np.inf if missing_is_low else np.inf, values))
    points = [float(filled[min(int(p / 100 * len(filled)), len(filled) - 1)]) for p in PERCENT]
    low, mid, high = (point if np.isfinite(point) else None for point in points)
    return Range(what, of, low, mid, high)


def _curves(plan: Plan, outcomes: list[Outcome], times: Reals) -> dict[str, Band]:
    table = np.percentile(np.array([one.curves for one in outcomes]), PERCENT, axis=0)
    moments = np.round(1000 * times).astype(np.int64)
    found = (*plan.bodies, *plan.gas_streams)
    return {name: Band(name, moments, table[0, i], table[1, i], table[2, i]) for i, name in enumerate(found)}


def _drivers(varied: tuple[str, ...], cube: Reals, outcomes: list[Outcome]) -> tuple[Driver, ...]:
    """The rank correlation of each number with the moment at which the last goal was reached."""
    last = np.array([max(one.reached) if one.reached else np.nan for one in outcomes])
    there = np.isfinite(last)
    if there.sum() < FEWEST_TO_RANK or np.ptp(last[there]) == 0.0:
        return ()
    found = [
        Driver(name, float(spearmanr(cube[there, i], last[there]).statistic)) for i, name in enumerate(varied)
    ]
    close = [driver for driver in found if abs(driver.correlation) >= LEAST_CORRELATION]
    return tuple(sorted(close, key=lambda driver: -abs(driver.correlation))[:MOST_DRIVERS])
