"""A map between the names of two plans: lines `name in the second: name in the first`.

Rule of this file: a map that is given must fit; then nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.plan.model import Plan
from steadfall.plan.problems import did_you_mean
from steadfall.plan.revise.renames import Names, Renamed, names_of
from steadfall.source import Mark, PlanError, Problem


def mapped(table: Mapping[str, str], file: str, one: Plan, two: Plan) -> Names:
    """The names of a map; raises PlanError where one of them is in neither plan, or the two are not of a
    kind.
    """
    ours, theirs = _known(one), _known(two)
    problems: list[Problem] = []
    rows: list[Renamed] = []
    for place, (second, first) in enumerate(table.items(), 1):
        mark = Mark(file, place, 1)
        for name, known, which in ((second, theirs, "second"), (first, ours, "first")):
            if name not in known:
                read = f"the {which} plan has no '{name}'{did_you_mean(name, known)}"
                expected = "an input, ramp, setting, output or circuit, or a valve or stage as `circuit.name`"
                problems.append(Problem(mark, "unknown-name", second, read, expected))
        kinds = theirs.get(second), ours.get(first)
        if None not in kinds and kinds[0] != kinds[1]:
            read = f"'{second}' is of the kind {kinds[0]}, '{first}' of the kind {kinds[1]}"
            problems.append(Problem(mark, "wrong-kind", second, read, "two of a kind"))
        rows.append(Renamed(theirs.get(second, ""), first, second))
    if problems:
        raise PlanError(problems)
    return names_of(rows)


def _known(plan: Plan) -> Mapping[str, str]:
    """What a map may name, and what it is."""
    found = dict.fromkeys(plan.inputs, "input") | dict.fromkeys(plan.ramps, "ramp")
    found |= dict.fromkeys(plan.settings, "setting") | dict.fromkeys(plan.outputs, "output")
    for circuit in plan.circuits:
        kind = plan.type_of(circuit)
        found[circuit] = "circuit"
        found |= {f"{circuit}.{name}": "valve" for name in kind.valves}
        states = [*(stage.name for stage in kind.stages), *(step.name for step in kind.finish)]
        found |= {f"{circuit}.{name}": "stage" for name in states}
    return found
