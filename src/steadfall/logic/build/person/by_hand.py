"""What a person does to a sequence that runs: hold it, and step on.

Rule of this file: a hold wins over a step. Both act on climbs alone: what cuts and ends cooling does not ask
them. Where hand mode or a test has ended the finish runs, so that no water is left that somebody has let in.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import frozen

from steadfall.logic.build.calls import Desk
from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.build.person.hand import HandMode
from steadfall.logic.forms import FALSE, all_of, any_of, opposite
from steadfall.logic.nodes import Node, Previous, Type
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.person.by_hand import buttons_of
from steadfall.plan.meaning.person.hand import circuits_in_hand
from steadfall.plan.meaning.person.valve_test import tested_circuits
from steadfall.plan.model import Plan
from steadfall.roles import Role, of_plant
from steadfall.roles import steps_on as named


@frozen
class Hands:
    """What climbs ask: whether they are held, and whether a button that steps on has just been pressed."""

    plan: Plan
    on_hold: Node
    pressed: Mapping[str, Node]
    hand_over: Mapping[str, Node] = {}  # circuit with such valves -> hand mode, or a test, has just ended

    @property
    def holds(self) -> bool:
        """Whether the plan says what holds the sequence."""
        return self.on_hold != FALSE

    def lets(self, climb: Node, circuit: str, stage: str) -> Node:
        """A climb by its condition or by hand, and not on hold."""
        steps = [self.pressed[button] for button in buttons_of(self.plan, circuit, stage)]
        may = any_of((climb, *steps)) if steps else climb
        return all_of((may, opposite(self.on_hold))) if self.holds else may


def hands(desk: Desk, hand: HandMode) -> Hands:
    """Writes `on_hold` and the presses that step on, where the plan has them."""
    sheet, plan = desk.sheet, desk.plan
    on_hold: Node = FALSE
    if plan.hold is not None:
        wish = of_plant(Role.ON_HOLD)
        scope = Scope(plan, wish.name, before=SEEN_BEFORE["hold"], serves=wish.identity)
        on_hold = sheet.put(wish, build(plan.hold.when, sheet, scope), plan.hold.at.own)
    marks = {item.button: item.at.own for item in plan.steps_on}
    just = desk.buttons.just_pressed
    over: dict[str, Node] = dict.fromkeys(tested_circuits(plan), hand.test_over)
    if plan.hand is not None:
        ended = all_of((Previous(of_plant(Role.IN_HAND).name, Type.BOOL), opposite(hand.on)))
        row = sheet.helper(of_plant(Role.HAND_OVER), ended, plan.hand.at.own)
        over |= {name: any_of((row, over.get(name, FALSE))) for name in circuits_in_hand(plan)}
    return Hands(
        plan,
        on_hold,
        {name: sheet.helper(named(name), just(name), mark) for name, mark in marks.items()},
        over,
    )
