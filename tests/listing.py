"""The problem listing of a plan, as the tests compare it and `make docs` writes it."""

from __future__ import annotations

from pathlib import Path

from steadfall.plan.advise.whole import advice
from steadfall.plan.read.whole import read_text
from steadfall.source import PlanError, listing


def listing_of(plan: Path) -> str:
    """The problem listing of a bad plan, as a person sees it."""
    try:
        read_text(plan.read_text(encoding="utf-8"), plan.name)
    except PlanError as error:
        return error.listing() + "\n"
    return "no problems\n"


def advice_of(plan: Path) -> str:
    """The advice on a plan, as a person sees it."""
    text = plan.read_text(encoding="utf-8")
    return listing(advice(read_text(text, plan.name)), text, "advice: ") + "\n"
