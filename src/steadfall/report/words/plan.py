"""What a plan holds, in one line."""

from __future__ import annotations

from steadfall.plan.model import Plan

MANY = {"body": "bodies"}  # all others with an s


def contents(plan: Plan) -> str:
    """`2 circuits, 5 bodies, ...`."""
    extra = {"setting": len(plan.settings), "alarm": len(plan.alarms), "output": len(plan.outputs)}
    extra["counter"] = len(plan.counters)
    fed = {"main valve": len(plan.main_valves), "pump": len(plan.pumps)}
    counts = {
        "circuit": len(plan.circuits),
        "body": len(plan.bodies) + len(plan.gas_streams),
        "valve": sum(len(plan.type_of(name).valves) for name in plan.circuits),
        **{word: count for word, count in fed.items() if count},
        "input": len(plan.inputs),
        **{word: count for word, count in extra.items() if count},
        "limit": len(plan.limits),
        "goal": len(plan.goals),
        "requirement": len(plan.requirements),
    }
    return ", ".join(f"{n} {word if n == 1 else MANY.get(word, f'{word}s')}" for word, n in counts.items())
