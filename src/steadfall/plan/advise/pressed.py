"""Advice on what lasts while a button is pressed, where a switch is meant that stays.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.plan.advise.given import Advice, Piece
from steadfall.plan.model import Call, Plan
from steadfall.plan.model.condition import Condition, Signal
from steadfall.source import Mark, Problem

SWITCH, BUTTONS = "a switch", "a switch, or `start` and `stop`"


def lasts_while_pressed(plan: Plan) -> Advice:
    """A call, hold, hand mode or permissive by a push-button alone ends as it is let go."""
    for key, what, wanted, condition, mark in _lasting(plan):
        item = plan.inputs.get(condition.name) if isinstance(condition, Signal) else None
        if item is not None and item.kind == "button":
            read = f"'{item.name}' is a button: {what} only while somebody presses it"
            yield Problem(mark, "only-while-pressed", key, read, wanted)


def _lasting(plan: Plan) -> Iterator[tuple[str, str, str, Condition, Mark]]:
    """The conditions that are meant to last: key, what hangs on it, what is expected, condition, place."""
    for call in plan.calls:
        if isinstance(call, Call):
            yield "when", "cooling is called", BUTTONS, call.when, call.at.of("when")
    if plan.hold is not None:
        yield "while", "the sequence is held", SWITCH, plan.hold.when, plan.hold.at.of("while")
    if plan.hand is not None:
        yield "while", "valves are in hand", SWITCH, plan.hand.when, plan.hand.at.of("while")
    for one in plan.permissives:
        yield "needs", "water is permitted", SWITCH, one.needs, one.at.of("needs")


PIECES: tuple[Piece, ...] = (lasts_while_pressed,)
