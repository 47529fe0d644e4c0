"""Judges a plan that could be read."""

from __future__ import annotations

from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems


def check(plan: Plan, problems: Problems) -> None:
    """Adds what is wrong with a plan as a whole."""
