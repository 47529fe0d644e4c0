"""Cases from a proof: the run by which a requirement is broken, driven as a bench can drive it.

Rule of this file: nothing of a run is lost. What a bench cannot give a controller has no case, and is said; a
change of the inputs is kept until a scan must have seen it, though the run may have had it for less.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from attrs import evolve, frozen

from steadfall.bench.cases.script import Case, Script
from steadfall.bench.link.file import CYCLE_MS
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Constant, Value
from steadfall.plan.model import Input, Plan
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.runs.json import OFF, scans

LEAD_MS, REST_MS, AFTER_MS = 1_000, 2_000, 1_500  # nobody calls; as the run begins; after its end
CUTS = "its run cuts the power, and requirements are watched from power to power"
PANEL = "its run sets '{name}' on the panel, which the bench cannot do"
NO_INPUT = "its run sets '{name}', which the plan does not have"


@frozen
class Violation:
    """A requirement that was refuted, under which faults (none: ()), and its run as docs/json.md has it."""

    name: str
    sentence: str
    faults: tuple[str, ...]
    steps: Sequence[Mapping[str, Any]]

    @property
    def title(self) -> str:
        """What its case is called."""
        under = f" ({', '.join(self.faults)})" if self.faults else ""
        return f"violation {self.name}{under}"


@frozen
class _Change:
    """Inputs that are given a value, so long after the change before in the run."""

    after_ms: int
    inputs: Mapping[str, Any]


def violation(plan: Plan, of: Violation) -> Case | str:
    """The case of a violation; a sentence where the bench cannot drive it."""
    observed = watched(plan)
    changes, ends_ms = _changes(of.steps)
    why = CUTS if any(OFF in row for row in of.steps) else _foreign(plan, observed, changes)
    if why:
        return f"{of.title}: {why}"
    script, (first, *more) = Script(plan), changes
    forced, apart = [(LEAD_MS, first.inputs)], _apart(plan)
    script.wait(LEAD_MS + apart)
    script.power = script.now if _by_people(first.inputs, script) else None
    script.wait(REST_MS)
    for one in more:
        script.wait(max(apart, _in_cycles(one.after_ms)))
        forced.append((script.now, one.inputs))
    script.wait(ends_ms + AFTER_MS)
    every = [*forced, *_faults(plan, of.faults, script.now, apart)]
    told = ((at, _typed(plan.inputs, values)) for at, values in sorted(every, key=lambda row: row[0]))
    line = next((one.marks[0].line for one in observed.required if one.name == of.name), 0)
    return evolve(script.case(of.title, of.sentence, line), forced=tuple(told))


def _changes(steps: Sequence[Mapping[str, Any]]) -> tuple[list[_Change], int]:
    """What happens in a run, and how long it goes on after the last of it."""
    found: list[_Change] = []
    last = now = 0
    for row in steps:
        if row["inputs"] or not found:
            found.append(_Change(row["at_ms"] - last, row["inputs"]))
            last = row["at_ms"]
        now = row["at_ms"] - row["scan_ms"] + sum(ms * many for ms, many in scans(row))
    return found, now - last


def _foreign(plan: Plan, observed: Watched, changes: Sequence[_Change]) -> str:
    """Why the bench cannot give these inputs: numbers of the panel that are not at their defaults, say."""
    usual = {row.name: row.initial for row in build(plan).inputs}
    for name, value in ((name, value) for one in changes for name, value in one.inputs.items()):
        if name in plan.inputs:
            continue
        if name in usual and value != usual[name]:
            return PANEL.format(name=name)
        if name not in usual and name not in observed.network.given:  # an observer's own is no input
            return NO_INPUT.format(name=name)
    return ""


def _by_people(inputs: Mapping[str, Any], script: Script) -> bool:
    """Whether somebody does something as the run begins: then it begins with power."""
    return any(float(value) != script.start[name] for name, value in inputs.items() if name in script.start)


def _apart(plan: Plan) -> int:
    """How long a change of inputs stands at least: a scan after it has seen it before the next comes."""
    return CYCLE_MS * math.ceil((plan.scan.longest_ms + 1) / CYCLE_MS)


def _in_cycles(ms: int) -> int:
    return CYCLE_MS * round(ms / CYCLE_MS)


def _faults(
    plan: Plan, phrases: Sequence[str], until_ms: int, apart: int
) -> Iterator[tuple[int, Mapping[str, Any]]]:
    """What faulty inputs show instead, for as long as it lasts; one that bounces changes again and again."""
    for name, node in read_faults(plan, phrases).fixed:
        if isinstance(node, Constant):
            yield 0, {name: node.value}
        else:
            yield from ((at, {name: at // apart % 2 == 0}) for at in range(0, until_ms, apart))


def _typed(inputs: Mapping[str, Input], values: Mapping[str, Any]) -> dict[str, Value]:
    """As the controller is handed them."""
    return {
        name: bool(value) if inputs[name].is_digital else float(value)
        for name, value in values.items()
        if name in inputs
    }
