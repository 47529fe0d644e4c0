"""The states of a circuit's sequence and their numbers: 0 idle, then the stages, then the finish steps."""

from __future__ import annotations

from steadfall.plan.model import Action, CircuitType, FinishStep, Open, Stage, Valve

IDLE, FIRST = 0, 1


def state_names(kind: CircuitType) -> tuple[str, ...]:
    """The name of every state, at its number."""
    return ("idle", *(stage.name for stage in kind.stages), *(step.name for step in kind.finish))


def last_stage(kind: CircuitType) -> int:
    """The number of the strongest stage; what comes above is the finish."""
    return len(kind.stages)


def first_finish(kind: CircuitType) -> int:
    """Where the finish begins: its first step, or idle where there is none."""
    return last_stage(kind) + 1 if kind.finish else IDLE


def stage_number(kind: CircuitType, name: str) -> int | None:
    """The number of a stage (not of a finish step), or None where the type has no such stage."""
    return next((number for number, stage in enumerate(kind.stages, FIRST) if stage.name == name), None)


def row(kind: CircuitType, valve: Valve) -> tuple[Action | None, ...]:
    """What a valve does in each state; None is shut."""
    at_rest = Open() if valve.rest == "open" else None
    works: list[Stage | FinishStep] = [*kind.stages, *kind.finish]
    return (at_rest, *(state.actions.get(valve.name) for state in works))
