"""One number that the search may change: where it stands in the plan, and the values that it may take.

Rule of this file: the values are those that a technician can set, the plan's own among them, and a point is
the place of one value for each variable, so that two points are the same cool-down where they are equal.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from steadfall.plan.keys.parameter import Parameter
from steadfall.plan.model import Plan

Point = tuple[int, ...]


@frozen
class Variable:
    """A number with the values that it may take, in rising order (SI)."""

    number: Parameter
    kind: str  # the circuit type
    stage: str
    what: str  # "mist open", "climb after"
    values: tuple[float, ...]

    @property
    def words(self) -> str:
        """As a person calls it: `first_doses, mist open`."""
        return f"{self.stage}, {self.what}"

    def nearest(self, value: float) -> int:
        """The place of the value that is nearest to one."""
        return min(range(len(self.values)), key=lambda place: abs(self.values[place] - value))


def put(plan: Plan, variables: Sequence[Variable], point: Point) -> Plan:
    """The plan with the numbers of a point; it is not judged again."""
    for one, place in zip(variables, point, strict=True):
        plan = one.number.put(plan, one.values[place])
    return plan


def own(plan: Plan, variables: Sequence[Variable]) -> Point:
    """The point that is nearest to the plan's own numbers."""
    return tuple(one.nearest(one.number.get(plan)) for one in variables)
