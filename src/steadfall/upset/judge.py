"""What a figure of a failing run means beside the run in which nothing fails, on both grids.

Rule of this file: nothing is called broken on the coarse grid. A coarse figure that is no more than a tenth
above that of the nominal run is moved as the nominal run's own moves to the fine grid (a control variate);
one that is then near its bound or beyond it is to be run again on the fine grid. A goal, and water that is
left, are told from the coarse grid where they are far from what would be another answer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from steadfall.predict.gather import ENDINGS
from steadfall.predict.loop import STOPPED
from steadfall.upset.outcome import Figure, Harm, Outcome, Worst

# Of a bound: nearer than this a coarse figure says nothing. In the rows of press and oven the fine grid left
# a figure at most 0.023 of its bound less than the coarse one did, a goal 0.014 less and 0.10 more.
NEAR, NEAR_GOAL, NEAR_GOAL_MISSED = 0.06, 0.03, 0.09
LIKE_NOMINAL = 1.1  # times the nominal run's figure
WATER_LEFT = 0.05  # kg more than in the nominal run that is worth a word
DRY, WET = 0.5, 4.0  # times that: between them a coarse figure says nothing
LESS_BAD = 0.01  # of a bound: a figure that the nominal run breaks too counts only beyond so much more

Figures = Mapping[tuple[Harm, str], Figure]


@frozen
class Beside:
    """The run in which nothing fails, on the coarse grid and on the fine one."""

    coarse: Outcome
    fine: Outcome

    def moved(self, value: float, coarse: float, fine: float) -> float:
        """What the fine grid would make of a coarse figure, as far as the nominal run can say."""
        return value * fine / coarse if 0.0 < value <= LIKE_NOMINAL * coarse else value


def by_key(of: Outcome) -> Figures:
    """Its figures, to be looked up."""
    return {one.key: one for one in of.figures}


def refined(of: Outcome, beside: Beside) -> Outcome:
    """A coarse outcome with its figures moved."""
    coarse, fine = by_key(beside.coarse), by_key(beside.fine)
    figures = tuple(_moved(one, coarse.get(one.key), fine.get(one.key), beside) for one in of.figures)
    return evolve(
        of,
        figures=figures,
        pressure=_worst(of.pressure, beside, beside.coarse.pressure, beside.fine.pressure),
        shock=_worst(of.shock, beside, beside.coarse.shock, beside.fine.shock),
        water_left=max(0.0, of.water_left + beside.fine.water_left - beside.coarse.water_left),
    )


def _worst(own: Worst, beside: Beside, coarse: Worst, fine: Worst) -> Worst:
    return evolve(own, value=beside.moved(own.value, coarse.value, fine.value))


def _moved(own: Figure, coarse: Figure | None, fine: Figure | None, beside: Beside) -> Figure:
    if own.kind is Harm.GOAL or coarse is None or fine is None:
        return own
    if own.value is None or coarse.value is None or fine.value is None or own.bound is None:
        return own
    value = beside.moved(own.value, coarse.value, fine.value)
    sign = 1.0 if own.margin * (own.bound - own.value) >= 0.0 else -1.0
    return evolve(own, value=value, margin=sign * (own.bound - value))


def near(of: Outcome, beside: Beside) -> bool:
    """Whether a coarse outcome, moved, comes near a bound or beyond it, where the nominal run does not."""
    fine = by_key(beside.fine)
    damp = DRY * WATER_LEFT < of.water_left - beside.fine.water_left < WET * WATER_LEFT
    open_ = (_is_near(one) and not _as_nominal(one, fine.get(one.key)) for one in of.figures)
    return _left_model(of) or damp or any(open_)


def _is_near(one: Figure) -> bool:
    """A goal that is missed by far, or never reached, needs no finer grid; coarse times are rather late."""
    if one.bound is None or one.value is None:
        return False
    if one.kind is Harm.GOAL:
        return -NEAR_GOAL_MISSED * one.bound < one.margin < NEAR_GOAL * one.bound
    return one.margin < NEAR * abs(one.bound)


def _as_nominal(one: Figure, nominal: Figure | None) -> bool:
    """Whether the figure is that of the nominal run: the failure has changed nothing of it."""
    if nominal is None or nominal.value is None or one.value is None:
        return False
    return abs(one.value - nominal.value) <= 1e-9 * max(1.0, abs(nominal.value))


def broken(of: Outcome, nominal: Outcome) -> tuple[Figure, ...]:
    """The bounds that a run goes beyond, worst kind first, and further than the nominal run does."""
    usual = by_key(nominal)
    found = [one for one in of.figures if one.margin < 0.0 and one.margin < _least(usual.get(one.key), one)]
    return tuple(sorted(found, key=lambda one: (one.kind, _share(one))))


def _least(usual: Figure | None, one: Figure) -> float:
    """The margin below which a figure is worse than the nominal run's."""
    return min(0.0, usual.margin) - LESS_BAD * abs(one.bound or 0.0) if usual and usual.margin < 0.0 else 0.0


def _share(one: Figure) -> float:
    """What is left of a bound, in shares of it: the more negative the worse."""
    return one.margin / max(abs(one.bound or 0.0), 1e-9)


def harm(of: Outcome, found: Sequence[Figure], nominal: Outcome) -> Harm:
    """The worst kind of consequence."""
    kinds = [one.kind for one in found]
    if _left_model(of):
        kinds.append(Harm.STOPPED)
    if of.water_left > nominal.water_left + WATER_LEFT:
        kinds.append(Harm.WATER)
    return min(kinds, default=Harm.NONE)


def _left_model(of: Outcome) -> bool:
    return of.ended == ENDINGS[STOPPED]


def severity(of: Outcome, found: Sequence[Figure], nominal: Outcome) -> tuple[int, float]:
    """To sort by: the kind of harm, then how far beyond the bound."""
    return int(harm(of, found, nominal)), min((_share(one) for one in found), default=0.0)
