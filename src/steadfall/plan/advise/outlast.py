"""Advice on an opening that lasts on into the next stage.

Rule of this file: see `plan.advise.whole`. A valve that has just opened stays open for its shortest opening,
whatever the stage; so a stage that follows sooner finds it open. A permissive or trip cuts the water at
once: only climbs, steps down and the end of a call are looked at.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from steadfall.plan.advise.given import Advice, Piece, air_valves
from steadfall.plan.check.equipment import water_valves
from steadfall.plan.model import CircuitType, Dose, Exclusive, FinishStep, Never, Plan, Share, Stage, Valve
from steadfall.plan.model.condition import After, And, Condition, Or, Signal
from steadfall.plan.model.setting import high_end, low_end
from steadfall.plan.text.lay_out import time
from steadfall.source import Problem

Step = Stage | FinishStep


@frozen
class _Way:
    """A change of the sequence: from a stage, after at least so long in it, to what may follow."""

    stage: Stage
    least_ms: int
    after: tuple[
        Step | None, ...
    ]  # one after the other, as long as an opening of the stage may last; None: idle


def _least(condition: Condition | None) -> int:
    """The shortest time in a stage after which its climb may hold."""
    if isinstance(condition, After):
        return low_end(condition.ms)
    if isinstance(condition, And):
        return max(_least(part) for part in condition.parts)
    return min(_least(part) for part in condition.parts) if isinstance(condition, Or) else 0


def _ways(plan: Plan, kind: CircuitType, shortest_ms: int) -> Iterator[_Way]:
    """Every change of the sequence of a circuit type; a button that steps on waits for no time."""
    by_button = {name for one in plan.steps_on for name in one.stages}
    for i, stage in enumerate(kind.stages):
        up = kind.stages[i + 1 :]
        if up:
            times = [0 if one.name in by_button else _least(one.climb) for one in up]
            least = 0 if stage.name in by_button else _least(stage.climb)
            yield _Way(stage, least, _while(up, times, shortest_ms))
        yield from (_Way(stage, low_end(kind.step_down_ms), (lower,)) for lower in kind.stages[:i])
        times = [low_end(step.for_ms) for step in kind.finish]
        yield _Way(stage, 0, _while((*kind.finish, None), [*times, 0], shortest_ms))


def _while(steps: tuple[Step | None, ...], times: list[int], shortest_ms: int) -> tuple[Step | None, ...]:
    """The steps that may begin before an opening of so long is over."""
    found, passed = [], 0
    for step, ms in zip(steps, times, strict=True):
        if passed < shortest_ms:
            found.append(step)
        passed += ms
    return tuple(found)


def _young(way: _Way, valve: Valve) -> bool:
    """Whether the valve may have opened so shortly before the change that it has to stay open."""
    action = way.stage.actions.get(valve.name)
    settled = 0  # from when on in its stage the valve moves no more
    if isinstance(action, Dose) and isinstance(action.then, str):
        settled = high_end(action.for_ms or 0)
    moves = isinstance(action, Dose | Share) and not settled
    return action is not None and (moves or way.least_ms < settled + high_end(valve.shortest_open_ms))


def opening_outlasts_stage(plan: Plan) -> Advice:
    """A shortest opening that lasts into a stage which shuts its air or opens a valve that excludes it."""
    for kind in plan.circuit_types.values():
        apart = _exclusive(plan, kind)
        for name in water_valves(plan, kind):
            valve = kind.valves[name]
            air = set(air_valves(plan, kind))
            longest = high_end(valve.shortest_open_ms)
            for way in _ways(plan, kind, longest) if longest else ():
                if _young(way, valve):
                    yield from _told(way, valve, air, apart.get(name, {}))


def _told(way: _Way, valve: Valve, air: set[str], apart: dict[str, int]) -> Advice:
    for step in way.after:
        actions = step.actions if step else {}
        if valve.name in actions:
            return  # it is open there anyway
        where = f"'{step.name}' (line {step.at.own.line})" if step else "idle"
        lasts = f"'{valve.name}' may last {time(high_end(valve.shortest_open_ms))} on into {where}"
        mark = way.stage.at.of(f"key {valve.name}")
        clash = next((other for other in apart if other in actions), "")
        if clash:
            read = f"{lasts}, which opens '{clash}'; line {apart[clash]} forbids both at once"
        elif air & set(way.stage.actions) and not air & set(actions):
            read = f"{lasts}, where no air carries it"
        else:
            continue
        yield Problem(mark, "opening-outlasts", way.stage.name, read, "a stage without water between the two")


def _exclusive(plan: Plan, kind: CircuitType) -> dict[str, dict[str, int]]:
    """For each valve of a circuit type those that may never be open with it, and the line that says so."""
    found: dict[str, dict[str, int]] = {}
    for item in plan.requirements:
        if isinstance(item, Exclusive):
            parts = item.conditions
        elif isinstance(item, Never) and isinstance(item.condition, And):
            parts = item.condition.parts
        else:
            continue
        if all(isinstance(part, Signal) for part in parts):
            for own, other in _pairs(plan, kind, [part.name for part in parts if isinstance(part, Signal)]):
                found.setdefault(own, {}).setdefault(other, item.at.own.line)
    return found


def _pairs(plan: Plan, kind: CircuitType, names: list[str]) -> Iterator[tuple[str, str]]:
    """The pairs of valves of one circuit that some signals name."""
    for circuit in (one.name for one in plan.circuits.values() if one.type == kind.name):
        own = [valve for valve in kind.valves if f"{circuit}.{valve}" in names]
        yield from ((one, other) for one in own for other in own if one != other)


PIECES: tuple[Piece, ...] = (opening_outlasts_stage,)
