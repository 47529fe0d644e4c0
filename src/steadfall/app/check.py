"""Every problem of a plan in one run, or what a careful colleague would still point out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from attrs import frozen

from steadfall.app.given.document import document, problem_json
from steadfall.extras import opened
from steadfall.lists.panel import panel
from steadfall.plan.advise.whole import advice
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file, read_text
from steadfall.source import PlanError, Problem, listing

__all__ = ["Checked", "Plan", "check", "check_text"]


@frozen(eq=False)
class Checked:
    """A plan that was read, or the problems that it has."""

    plan: Plan | None
    advice: tuple[Problem, ...] = ()
    error: PlanError | None = None

    @property
    def good(self) -> bool:
        """Whether it has no problems."""
        return self.error is None

    @property
    def problems(self) -> tuple[Problem, ...]:
        """All of them, in line order."""
        return self.error.problems if self.error else ()

    def advised(self) -> str:
        """The advice as a person reads it, each piece with its line of the plan."""
        return listing(self.advice, self.plan.text if self.plan else "", "advice: ")

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        body = {
            "problems": [problem_json(one) for one in self.problems],
            "advice": [problem_json(one) for one in self.advice],
        }
        return document(self.plan, self.good, body)


def check(path: str | Path) -> Checked:
    """Read a plan with the list of its panel, and judge both."""
    return _checked(lambda: read_file(path))


def check_text(text: str, name: str, may: Callable[[Plan], None]) -> Checked:
    """The same of a text that is not saved; `name` is the file that it will be, `may` raises PlanError where
    the plan names what must not be read.
    """

    def read() -> Plan:
        plan = read_text(text, name)
        may(plan)
        return plan

    return _checked(read)


def _checked(read: Callable[[], Plan]) -> Checked:
    try:
        plan = read()
        panel(plan)
        if plan.accepted:
            opened("steadfall.upset.accepted").names_are_failures(plan)
    except PlanError as error:
        return Checked(None, error=error)
    return Checked(plan, tuple(advice(plan)))
