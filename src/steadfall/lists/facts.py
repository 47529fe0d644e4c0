"""What is so while a cause of the matrix stands, and what each output then is.

Rule of this file: only what is certain is told. What an output's condition comes to by these facts alone
stands in its column; where it hangs on more, the cell is empty.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import field, frozen

from steadfall.plan.meaning.names import alarm_titles, is_water, signals, valves, word
from steadfall.plan.meaning.truth import Scene, follows
from steadfall.plan.model import Output, Plan
from steadfall.plan.model.condition import And, Condition, Held, Not, Signal
from steadfall.roles import Role, alarm, of_plant, titled

RUNNING, PERMITTED = of_plant(Role.RUNNING).name, of_plant(Role.PERMITTED).name
TRIPPED, DONE = of_plant(Role.TRIPPED).name, of_plant(Role.DONE).name
IN_HAND = of_plant(Role.IN_HAND).name
IN_TEST = of_plant(Role.IN_TEST).name
ON_HOLD = of_plant(Role.ON_HOLD).name


@frozen
class Facts:
    """True/false signals while a cause stands; `until_seen` only until somebody acknowledges it."""

    lasting: Mapping[str, bool] = field(factory=dict)
    until_seen: Mapping[str, bool] = field(factory=dict)

    def output(self, plan: Plan, item: Output) -> str:
        """What an output then is."""
        scene = Scene(plan, signals(plan))
        first, later = (
            follows(item.on, scene, facts)
            for facts in ({**self.lasting, **self.until_seen}, dict(self.lasting))
        )
        if first is None:
            return ""
        word = "on" if first else "off"
        return word if later is first else f"{word} K"


def stated(condition: Condition, value: bool = True) -> dict[str, bool]:
    """The signals whose state a condition fixes where it is true, or with `value` false where it is not."""
    if isinstance(condition, Signal):
        return {condition.name: value}
    if isinstance(condition, Not):
        return stated(condition.part, not value)
    if isinstance(condition, Held):
        return stated(condition.part, value) if value else {}
    if isinstance(condition, And) and value:
        return {name: is_on for part in condition.parts for name, is_on in stated(part).items()}
    return {}


def of_trip(plan: Plan, name: str, when: Condition) -> Facts:
    """While a trip is latched."""
    shut = dict.fromkeys((valve for valve in valves(plan) if is_water(plan, valve)), False)
    own = {titled(Role.TRIP, word(name), name).name: True, TRIPPED: True, RUNNING: False}
    also = of_alarm(plan, name, when)
    return Facts({**also.lasting, **shut, **own}, also.until_seen)


def of_alarm(plan: Plan, title: str, when: Condition) -> Facts:
    """While an alarm stands; none does where nothing acknowledges them."""
    if title not in alarm_titles(plan):
        return Facts(stated(when))
    lasting, until_seen = (
        {of_plant(role).name: True, alarm(role, word(title), title).name: True}
        for role in (Role.ALARM, Role.UNACKNOWLEDGED)
    )
    return Facts({**stated(when), **lasting}, until_seen)


def of_lost(plan: Plan, needs: Condition, cut: frozenset[str]) -> Facts:
    """While a permissive is lost that cuts these valves."""
    everything = cut >= {valve for valve in valves(plan) if is_water(plan, valve)}
    ends = {RUNNING: False} if everything else {}
    return Facts({**stated(needs, value=False), **dict.fromkeys(cut, False), PERMITTED: False, **ends})
