"""Doses that were found, in words: what they give, what binds them, what more would buy, the odds."""

from __future__ import annotations

import math
from collections.abc import Iterator

from steadfall.dose.aim import Aim
from steadfall.dose.bound import Bound, Sort, figures
from steadfall.dose.buys import BINDS
from steadfall.dose.found import Buy, Doses, Fight
from steadfall.dose.hunt import Judged
from steadfall.dose.work import Outcome
from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import (
    DIFFERENCE,
    DROP,
    IN_ALL,
    METRIC,
    PER_SECOND,
    TEMPERATURE,
    Reading,
    Units,
    clock,
    how_long,
    reading,
)
from steadfall.report.words.names import sentence
from steadfall.report.words.odds import share_words
from steadfall.units import shown

FOR = {
    Aim.TIME: "soonest",
    Aim.WATER: "with least water",
    Aim.WEAR: "with fewest openings",
    Aim.BALANCE: "in balance of time, water and openings",
}
NUMBER_HEAD = ("Type", "Stage", "Number", "Plan", "Found")
FIGURE_HEAD = ("", "Plan", "Found", "Change")
ROOM_HEAD = ("Bound", "Worst of the grids", "Left")
STOPPED = "Stopped before the end: this is the best so far"
UNJUDGED = f"{STOPPED}, and not judged on the fine grids."
JUDGED = f"{STOPPED}, confirmed on the fine grids; odds, or what more would buy, may be missing."
ROUGH = (
    "The trade-off is of the coarse grid, its limits judged by what the fine grids add; what is called "
    "found was confirmed on the fine ones."
)
MOST_ROWS = 12
APART = {"pressure": DROP, "temperature": DIFFERENCE}  # how far two of a kind are apart is read


def heading(found: Doses) -> str:
    """The answer in a sentence or two."""
    if found.found is None:
        if found.stopped:
            return f"Stopped after {found.tried} cool-downs, before anything was confirmed on the fine grids."
        return f"No doses were found that keep every limit, rating and goal; {found.tried} cool-downs tried."
    result = found.found.result
    water = _water_words(found.units, _water(result))
    words = [
        f"Doses that cool {FOR[found.aim]}, of {found.tried} cool-downs tried: last goal at "
        f"{_clock(_last(result))}, {water} water, {_openings(result)} openings."
    ]
    if not found.changed:
        words.append("They are the plan's own: nothing better was found.")
    if found.wanted is not None and not found.sure:
        words.append(f"No doses were found that keep the limits in {100 * found.wanted:.0f} % of the runs.")
    return " ".join(words)


def number_rows(found: Doses) -> tuple[tuple[str, ...], ...]:
    """Every number, as the plan has it and as it was found."""
    point = found.found.point if found.found else found.rough
    rows = []
    for k, one in enumerate(found.variables):
        own, dimension = one.number.get(found.plan), one.number.span.dimension
        new = "" if point is None else value_words(one.values[point[k]], dimension, found.units)
        same = point is not None and math.isclose(own, one.values[point[k]], abs_tol=1e-6)
        rows.append(
            (
                one.kind,
                one.stage,
                one.what,
                value_words(own, dimension, found.units),
                "as it is" if same else new,
            )
        )
    return tuple(rows)


def value_words(value: float, dimension: str, units: Units = METRIC) -> str:
    """A time, or a temperature in degrees."""
    return units.of(TEMPERATURE).text(value) if dimension == "temperature" else how_long(1000 * value)


def figure_rows(found: Doses) -> tuple[tuple[str, ...], ...]:
    """What the plan's own numbers come to on the fine grid, and what the found ones do."""
    if found.given is None or found.found is None:
        return ()
    before, after = found.given.result, found.found.result
    water, openings = (_water(before), _water(after)), (_openings(before), _openings(after))
    rows = [
        ("last goal", _clock(_last(before)), _clock(_last(after)), _change(_last(before), _last(after))),
        ("water", *(_water_words(found.units, one) for one in water), _change(*water)),
        ("openings", *(str(one) for one in openings), _change(*openings)),
    ]
    return (*rows, *_bounds(found.given, found.found, found.units))


def _bounds(before: Judged, after: Judged, units: Units) -> Iterator[tuple[str, ...]]:
    """Limit by limit: the worst value of either."""
    old = figures(before.result)
    for bound, new in figures(after.result).items():
        was = old.get(bound, math.nan)
        if bound.sort is Sort.LIMIT and math.isfinite(was) and math.isfinite(new):
            yield sentence(bound.text), figure_words(bound, was, units), figure_words(bound, new, units), ""


def room_rows(found: Doses) -> tuple[tuple[str, ...], ...]:
    """What is left to every bound, the tightest first."""
    rows = ((one.bound, one.figure, one.left) for one in found.rooms)
    return tuple(
        (sentence(bound.text), figure_words(bound, figure, found.units), f"{100 * left:.0f} %")
        for bound, figure, left in rows
    )


def trade_head(found: Doses) -> tuple[str, str, str]:
    """The head of the trade-off."""
    return "Last goal at", f"Water {found.units.of(IN_ALL).symbol}", "Openings"


def trade_rows(found: Doses, most: int = MOST_ROWS) -> tuple[tuple[str, ...], ...]:
    """Evenly chosen rows of the trade-off, soonest first."""
    rows, water = list(found.trade.values()), found.units.of(IN_ALL)
    step = max(1, math.ceil(len(rows) / max(1, most)))
    return tuple((_clock(one.time), water.number(one.water), str(one.openings)) for one in rows[::step])


def said(found: Doses) -> Iterator[str]:
    """What there is to say beside the tables."""
    if found.stopped:
        yield JUDGED if found.found else UNJUDGED
    tight = [one for one in found.rooms if one.left < BINDS]
    if tight:
        rooms = (f"{sentence(one.bound.text)} ({100 * one.left:.0f} % left)" for one in tight)
        yield f"What binds: {'; '.join(rooms)}."
    elif found.found:
        yield "No bound binds: a tenth or more is left to each. The bounds of the numbers themselves may."
    yield from (buy_words(one, found.units) for one in found.buys)
    yield from _odds(found)
    if found.fight:
        yield from fight_words(found.fight, found.units)


def buy_words(one: Buy, units: Units) -> str:
    """What one more would buy."""
    of = " and ".join(f"'{sentence(bound.text)}'" for bound in one.bounds)
    more = f"{_by(one.bounds[0], one.by, units)} {'less' if one.bounds[0].least else 'more'} of {of}"
    if one.after is None:
        return f"{more} would buy nothing that the search found."
    return f"{more} would buy {', '.join(_gains(one.before, one.after, units))} (both on the coarse grid)."


def _gains(before: Outcome, after: Outcome, units: Units) -> list[str]:
    """What is gained or lost, without what comes to nothing as it is shown."""
    sooner, less = before.time - after.time, before.water - after.water
    fewer = before.openings - after.openings
    gains = (
        (sooner, 0.5, f"{_clock(abs(sooner))} {'sooner' if sooner >= 0 else 'later'}"),
        (less, 0.5, f"{_water_words(units, abs(less))} water {'less' if less >= 0 else 'more'}"),
        (fewer, 1, f"{abs(fewer)} openings {'fewer' if fewer >= 0 else 'more'}"),
    )
    return [words for gained, least, words in gains if abs(gained) >= least] or ["nothing to speak of"]


def _odds(found: Doses) -> Iterator[str]:
    bands = found.found.result.bands if found.found else None
    if bands is None:
        return
    wanted = "" if found.wanted is None else f"; asked for: {100 * found.wanted:.0f} %"
    yield (
        f"Odds of keeping every limit and rating, of {bands.runs} runs within the tolerances and the model's "
        f"uncertainty: {share_words(bands.limits)}{wanted}."
    )
    count = len(found.plan.limits)
    broken, late = (
        min(some, key=lambda one: one.share, default=None)
        for some in (bands.each[:count], bands.each[count:])
    )
    if broken is not None and broken.share < 1.0:
        yield f"Broken most often: {sentence(broken.what)}, kept in {share_words(broken)}."
        yield from () if found.sure else _gentlest(found, broken.what)
    if late is not None and late.share < 1.0:
        yield f"Goals are not counted in that: {sentence(late.what)} is reached in {share_words(late)}."
    own = [one for one in bands.drivers if one.what in {of.of for of in found.plan.tolerances}]
    if own:
        costs = own[0]
        yield (
            f"The tolerance that costs most time: {costs.what} (rank correlation with the last goal's moment "
            f"{costs.correlation:+.2f})."
        )


def _gentlest(found: Doses, broken: str) -> Iterator[str]:
    """How near any doses came to leaving more of what is broken most often."""
    for bound, figure in found.gentlest.items():
        if bound.text == broken:
            side = "above" if bound.least else "below"
            nearest = figure_words(bound, figure, found.units)
            yield (
                f"No cool-down that was tried came {side} {nearest} there, run as planned: where that leaves "
                "too little, another limit or another plant helps, not doses."
            )


def fight_words(fight: Fight, units: Units = METRIC) -> Iterator[str]:
    """Which bounds fight, and the least change that would let them."""
    broken = "; ".join(
        f"{sentence(bound.text)} ({figure_words(bound, at, units)})" for bound, at in fight.broken.items()
    )
    if not broken:
        yield "Some doses break nothing on the coarse grid, but the fine grids do not confirm them."
        return
    yield f"The doses that break least break: {broken}."
    if not fight.changes:
        yield "No run broke one bound alone: as far as the runs tell, more than one of them has to give way."
        return
    bounds = [sentence(bound.text) for bound in fight.changes]
    if len(bounds) > 1:
        yield f"These fight: {'; '.join(bounds)}."
    bound, value = next(iter(fight.changes.items()))
    yield (
        f"The least change that would do, of the runs made: {sentence(bound.text)} to become "
        f"{figure_words(bound, value, units)}; all others stay."
    )


def figure_words(bound: Bound, figure: float, units: Units = METRIC) -> str:
    """A figure in the unit of its bound."""
    if bound.sort is Sort.GOAL:
        return _clock(figure)
    return units.of(_reading(bound)).text(figure)


def _reading(bound: Bound) -> Reading:
    """The unit of a bound's figures: of a rate that which the plan has."""
    return PER_SECOND if bound.by_second else reading(bound.dimension, "")


def _by(bound: Bound, by: float, units: Units) -> str:
    """How far a bound is moved: a difference, in metric units as a plan has it."""
    if units is not METRIC:
        return units.of(APART.get(bound.dimension) or _reading(bound)).text(by)
    if bound.dimension == "fall_rate":
        return shown(by, bound.dimension, 3, _reading(bound).unit)
    return shown(by, "pressure_difference" if bound.dimension == "pressure" else bound.dimension)


def _clock(seconds: float) -> str:
    return clock(1000 * seconds) if math.isfinite(seconds) else "not reached"


def _last(result: Prediction) -> float:
    reached = [one.reached_ms for one in result.goals]
    return math.inf if None in reached else max(ms for ms in reached if ms is not None) / 1000


def _water_words(units: Units, water: float) -> str:
    return units.of(IN_ALL).text(water)


def _water(result: Prediction) -> float:
    return sum(use.water for use in result.circuits)


def _openings(result: Prediction) -> int:
    return sum(use.openings for use in result.valves)


def _change(before: float, after: float) -> str:
    if not (math.isfinite(before) and math.isfinite(after)) or before == 0:
        return ""
    share = round(100 * (after - before) / before)
    return f"{share:+d} %" if share else "same"
