"""Judges faults: each is of an input that there is, of a kind that can fail so.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.plan.keys.sections.aims import FAULTS
from steadfall.plan.model import Fault, Plan
from steadfall.plan.problems import Problems, listed
from steadfall.source import Mark


def faults_fit(plan: Plan, problems: Problems) -> None:
    """Every fault of the plan can happen to its input, and is said once."""
    seen: dict[str, int] = {}
    for fault in plan.faults:
        mark = fault.at.of("fault")
        fault_fits(plan, fault, mark, problems)
        if fault.what and fault.phrase in seen:
            read = f"'{fault.phrase}' is in line {seen[fault.phrase]} already"
            problems.add(mark, "same-name", "fault", read, "each fault once: each is taken alone")
        seen.setdefault(fault.phrase, mark.line)


def fault_fits(plan: Plan, fault: Fault, mark: Mark, problems: Problems) -> None:
    """A fault can happen to its input."""
    item = plan.inputs.get(fault.signal)
    if item is None:
        problems.unknown(mark, "fault", fault.signal, "input", plan.inputs)
        return
    kind = "switch" if item.is_digital else "measured"
    if item.kind and FAULTS[fault.what] != kind:
        what = "a switch" if kind == "switch" else f"a measured {item.kind}"
        read = f"'{fault.signal}' is {what} and cannot be '{fault.what}'"
        fits = [word for word, wanted in FAULTS.items() if wanted == kind]
        problems.add(
            mark, "fault-does-not-fit", "fault", read, listed(fits), example=f"{fault.signal} {fits[0]}"
        )


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (faults_fit,)
