"""One number of a plan: where it stands, what it measures, its bounds; and the plan with another there.

Rule of this file: values are in SI (times in s). A plan that is given another number is not judged again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import evolve, frozen

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import Plan

Way = tuple[str | int, ...]  # through fields, names and places in a list, from the plan to the number
INFINITE = float("inf")


@frozen
class Span:
    """What a number can be: its dimension, its bounds, and the step in which it moves (0: any value)."""

    dimension: str = ""  # as `dimensions.DIMENSIONS` has it; "" of a plain number or a count
    least: float = -INFINITE
    most: float = INFINITE
    step: float = 0.0
    unit: float = 1.0  # of the number in the model, in SI: 0.001 of one that counts milliseconds
    counted: bool = False  # by a timer of the controller


@frozen
class Parameter:
    """One number of a plan."""

    place: tuple[str, ...]  # as in the text: ("bodies", "splice", "mass")
    span: Span
    way: Way
    tolerance: str = ""  # what a tolerance calls it; "" where it may not be off

    @property
    def name(self) -> str:
        """The place in one word."""
        return ".".join(self.place)

    def owner(self, plan: Plan) -> Any:
        """The thing whose number it is."""
        thing: Any = plan
        for step in self.way[:-1]:
            thing = _part(thing, step)
        return thing

    def get(self, plan: Plan) -> float:
        """Its value in a plan."""
        return float(_part(self.owner(plan), self.way[-1]) * self.span.unit)

    def put(self, plan: Plan, value: float) -> Plan:
        """The plan with this value in its place, to the next step."""
        step = self.span.step
        number: float = round(round(value / step) * step / self.span.unit) if step else value
        changed: Plan = _with(plan, self.way, number)
        return changed

    @property
    def in_kelvin(self) -> bool:
        """Whether it is off by kelvins: of a temperature a percentage says nothing."""
        return self.span.dimension == "temperature"

    def off(self, plan: Plan, by: float) -> Plan:
        """The plan with this number off by kelvins or by a share of it; of a pressure a share of the gauge
        pressure.
        """
        value = self.get(plan)
        if self.in_kelvin:
            return self.put(plan, value + by)
        if self.span.dimension == "pressure" and value > ATMOSPHERE:
            return self.put(plan, value + (value - ATMOSPHERE) * by)
        return self.put(plan, value * (1 + by))


def _part(thing: Any, step: Any) -> Any:
    return thing[step] if isinstance(thing, Mapping | tuple) else getattr(thing, step)


def _with(thing: Any, way: Way, value: float) -> Any:
    if not way:
        return value
    head, rest = way[0], way[1:]
    inner = _with(_part(thing, head), rest, value)
    if isinstance(thing, Mapping):
        return {**thing, head: inner}
    if isinstance(thing, tuple):
        return tuple(inner if place == head else part for place, part in enumerate(thing))
    return evolve(thing, **{str(head): inner})
