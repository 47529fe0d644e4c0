"""Judges a plan that could be read: everything that makes it no plan, although each value is well written.

Rule of this file: the list of checks. Each is a function of the plan that adds problems; a value that could
not be read is `UNREAD` or "", to which no check objects.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.plan.check import aims as check_aims
from steadfall.plan.check import conditions as check_conditions
from steadfall.plan.check import equipment as check_equipment
from steadfall.plan.check import faults as check_faults
from steadfall.plan.check import feeders as check_feeders
from steadfall.plan.check import hand as check_hand
from steadfall.plan.check import hosts as check_hosts
from steadfall.plan.check import inputs as check_inputs
from steadfall.plan.check import presets as check_presets
from steadfall.plan.check import segments as check_segments
from steadfall.plan.check import sequence as check_sequence
from steadfall.plan.check import settings as check_settings
from steadfall.plan.check import shown as check_shown
from steadfall.plan.check import tolerances as check_tolerances
from steadfall.plan.check import truth as check_truth
from steadfall.plan.check import valve_test as check_valve_test
from steadfall.plan.meaning.plant import plant_side
from steadfall.plan.meaning.settled import at_high, at_low, at_values
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems

Check = Callable[[Plan, Problems], None]

OF_PLANT: tuple[Check, ...] = (
    *check_equipment.OF_PLANT,
    *check_hosts.OF_PLANT,
    *check_segments.OF_PLANT,
    *check_inputs.OF_PLANT,
    *check_tolerances.OF_PLANT,
    *check_feeders.OF_PLANT,
)
CHECKS: tuple[Check, ...] = (
    *OF_PLANT,
    *check_equipment.CHECKS,
    *check_inputs.CHECKS,
    *check_feeders.CHECKS,
    *check_sequence.CHECKS,
    *check_hand.CHECKS,
    *check_valve_test.CHECKS,
    *check_shown.CHECKS,
    *check_presets.CHECKS,
    *check_conditions.CHECKS,
    *check_truth.CHECKS,
    *check_aims.CHECKS,
    *check_faults.CHECKS,
    *check_tolerances.CHECKS,
)


def check(plan: Plan, problems: Problems) -> None:
    """Adds what is wrong with a plan as a whole: with its settings at their defaults, and at either end."""
    for one in check_settings.CHECKS:
        one(plan, problems)
    usual = at_values(plan) if plan.settings else plan
    _each(usual, problems)
    for pick, end in ((at_low, "low"), (at_high, "high")) if plan.settings else ():
        more = Problems()
        _each(at_values(plan, pick), more, but=check_presets.presets_are_steps)  # the ends have been judged
        problems.take_new(more, f"with every setting at its {end} end, ")


def _each(plan: Plan, problems: Problems, but: Check | None = None) -> None:
    """Every check but one; those of the plant see its side of the plan."""
    seen = plant_side(plan)
    for one in CHECKS:
        if one is not but:
            one(seen if one in OF_PLANT else plan, problems)
