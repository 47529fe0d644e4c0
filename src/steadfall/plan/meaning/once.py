"""What is worked out of a plan once and kept while the same plan is asked about.

Rule of this file: only for what is made of the plan alone and is never changed afterwards. The plan is known
by itself, not by its value, and is not kept alive.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar
from weakref import ref

from steadfall.plan.model import Plan

Made = TypeVar("Made")


def once(work: Callable[[Plan], Made]) -> Callable[[Plan], Made]:
    """The same, worked out again only for another plan than the last."""
    last: list[tuple[ref[Plan], Made]] = []

    @wraps(work)
    def kept(plan: Plan) -> Made:
        for of, made in last:
            if of() is plan:
                return made
        made = work(plan)
        last[:] = [(ref(plan), made)]
        return made

    return kept
