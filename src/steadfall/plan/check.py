"""Judges a plan that could be read: everything that makes it no plan, although each value is well written.

Rule of this file: the list of checks. Each is a function of the plan that adds problems; a value that could not be
read is `UNREAD` or "", to which no check objects.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.plan import (
    check_aims,
    check_conditions,
    check_equipment,
    check_faults,
    check_hosts,
    check_inputs,
    check_presets,
    check_sequence,
    check_tolerances,
    check_truth,
)
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems

CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (
    *check_equipment.CHECKS,
    *check_hosts.CHECKS,
    *check_inputs.CHECKS,
    *check_sequence.CHECKS,
    *check_presets.CHECKS,
    *check_conditions.CHECKS,
    *check_truth.CHECKS,
    *check_aims.CHECKS,
    *check_faults.CHECKS,
    *check_tolerances.CHECKS,
)


def check(plan: Plan, problems: Problems) -> None:
    """Adds what is wrong with a plan as a whole."""
    for one in CHECKS:
        one(plan, problems)
