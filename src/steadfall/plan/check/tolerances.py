"""Judges tolerances and the lines to valves.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from steadfall.constants import WATER, G
from steadfall.plan.keys.numbers import tolerances
from steadfall.plan.model import Plan
from steadfall.plan.model.equipment import Line, Supply
from steadfall.plan.problems import Problems
from steadfall.units import shown

WIDEST = 0.9  # of a number: more is no tolerance but ignorance, and the number could reach nothing
WIDEST_KELVIN = 100.0


def tolerances_fit(plan: Plan, problems: Problems) -> None:
    """Each tolerance names a number of the plan, once, in a unit that fits it."""
    known = tolerances(plan)
    seen: set[str] = set()
    for one in plan.tolerances:
        number = known.get(one.of)
        if number is None:
            problems.unknown(one.at.of("of"), "of", one.of, "number that may be off", known)
            continue
        if one.of in seen:
            read = f"'{one.of}' has a tolerance already"
            problems.add(one.at.of("of"), "same-name", "of", read, "one tolerance for each number")
        seen.add(one.of)
        if math.isnan(one.value):
            continue
        if one.relative == number.in_kelvin:
            read = (
                "a percentage of a temperature says nothing"
                if one.relative
                else "kelvins do not fit this number"
            )
            expected, example = ("kelvins", "5 K") if number.in_kelvin else ("a percentage", "10 %")
            problems.add(one.at.of("within"), "wrong-dimension", "within", read, expected, example=example)
        elif not 0 <= one.value <= (WIDEST if one.relative else WIDEST_KELVIN):
            expected = (
                f"from 0 % to {100 * WIDEST:g} %" if one.relative else f"from 0 K to {WIDEST_KELVIN:g} K"
            )
            problems.add(one.at.of("within"), "out-of-range", "within", "this is no tolerance", expected)


def lines_hold_their_supply(plan: Plan, problems: Problems) -> None:
    """A line is rated for at least the pressure that stands in it."""
    for line, pressure in _lines(plan):
        if line.rated < pressure:
            read = f"the line is rated below the {shown(pressure, 'pressure')} that stand in it"
            problems.add(
                line.at.of("rated"), "line-rating", "rated", read, "at least the pressure of its supply"
            )


def _lines(plan: Plan) -> Iterator[tuple[Line, float]]:
    for supply in plan.supplies.values():
        if supply.line is not None:
            yield supply.line, supply.pressure + _below(supply, supply.line.elevation)
    for kind in plan.circuit_types.values():
        for valve in kind.valves.values():
            if valve.line is not None and valve.supply and valve.supply in plan.supplies:
                supply = plan.supplies[valve.supply]
                above = supply.line.elevation if supply.line is not None else 0.0
                yield valve.line, supply.pressure + _below(supply, min(above, above + valve.line.elevation))


def _below(supply: Supply, rise: float) -> float:
    """Pa more in a line of water that goes down."""
    return WATER * G * max(-rise, 0.0) if supply.fluid == "water" else 0.0


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (tolerances_fit,)
OF_PLANT: tuple[Callable[[Plan, Problems], None], ...] = (lines_hold_their_supply,)
