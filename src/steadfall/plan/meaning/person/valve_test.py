"""What a test of valves moves, turn by turn, and how long each takes.

Rule of this file: worked out from the plan alone, for the program and for what is required of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from steadfall.plan.meaning.names import valves
from steadfall.plan.meaning.person.hand import excluded_by, outlets_of, rests_open
from steadfall.plan.model import Plan, Valve
from steadfall.plan.model.setting import high_end


@frozen
class Turn:
    """One valve of a test: what is opened for it, and what is shut that rests open."""

    valve: str
    opened: tuple[str, ...]
    shut: tuple[str, ...]


def turns(plan: Plan) -> tuple[Turn, ...]:
    """The turns of a test, in their order; of one that rests open nothing else need move."""
    return tuple(_turn(plan, name) for name in (plan.test.valves if plan.test else ()))


def _turn(plan: Plan, valve: str) -> Turn:
    if rests_open(plan, valve):
        return Turn(valve, (), ())
    opened = outlets_of(plan, valve)
    shut = dict.fromkeys(other for one in (valve, *opened) for other in excluded_by(plan, one))
    return Turn(valve, opened, tuple(one for one in shut if rests_open(plan, one)))


def moved(plan: Plan) -> tuple[str, ...]:
    """Every valve that a test moves, those that only make way too."""
    named = (name for turn in turns(plan) for name in (turn.valve, *turn.opened, *turn.shut))
    return tuple(dict.fromkeys(named))


def tested_circuits(plan: Plan) -> tuple[str, ...]:
    """The circuits that have a valve which a test moves."""
    known = valves(plan)
    return tuple(dict.fromkeys(known[name].circuit for name in moved(plan)))


def times_of(valve: Valve, longest_ms: int) -> Iterator[tuple[str, float]]:
    """What a valve takes that is moved, in words and ms; a limit switch is seen two scans later."""
    yield "its travel", (valve.travel or 0.0) * 1000  # none without a plant
    yield "its shortest opening", high_end(valve.shortest_open_ms)
    yield "its shortest pause", high_end(valve.shortest_shut_ms)
    if valve.feedback is not None:
        yield "what its limit switch is allowed, and two scans", valve.feedback.within_ms + 2 * longest_ms
