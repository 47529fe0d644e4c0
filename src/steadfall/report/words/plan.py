"""What a plan holds, in one line."""

from __future__ import annotations

from steadfall.plan.model import Plan


def contents(plan: Plan) -> str:
    """`2 circuits, 5 bodies, ...`."""
    parts = (
        (len(plan.circuits), "circuit"),
        (len(plan.bodies) + len(plan.gas_streams), "body", "bodies"),
        (sum(len(plan.type_of(name).valves) for name in plan.circuits), "valve"),
        (len(plan.inputs), "input"),
        (len(plan.limits), "limit"),
        (len(plan.goals), "goal"),
        (len(plan.requirements), "requirement"),
    )
    return ", ".join(
        f"{n} {words[0] if n == 1 else (words[1:] or (words[0] + 's',))[0]}" for n, *words in parts
    )
