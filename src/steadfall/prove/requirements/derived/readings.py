"""The requirement that follows from any plan without being asked, of measured inputs.

Rule of this file: as in `derived.guards`. Every other requirement looks at a measured value as the controller
has worked it out, so that is required here: a wrong end of a range would move every threshold alike.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.logic.build.readings import as_handed, in_unit, is_bad
from steadfall.logic.forms import any_of, choose, less, opposite, real
from steadfall.logic.nodes import Add, Multiply, Node, Read, SquareRoot, Subtract, Type
from steadfall.plan.meaning.names import input_identity
from steadfall.plan.model import Input, Raw
from steadfall.prove.requirements.watch import Said, Watch
from steadfall.roles import Role, of_input
from steadfall.units import written


def readings_as_measured(watch: Watch) -> None:
    """A value is worked out of what a sensor hands over by the two ends of its range, and another value
    stands in for a bad sensor where the plan has one; a filter has `derived.filters`.
    """
    for item in watch.plan.inputs.values():
        stands_in = item.when_bad == "go on"
        if item.is_digital or (item.raw is None and (item.filter_ms or not stands_in)):
            continue
        role = Role.UNFILTERED if item.filter_ms else Role.VALUE
        name = of_input(role, item.name, input_identity(watch.plan, item.name)).name
        bad, now = is_bad(item), Read(name, Type.REAL)
        due = _measured(item)
        if stands_in:
            due = choose(bad, real(in_unit(item, item.substitute)), due)
        said = Said(f"{name}.as_measured", _words(item, name), (item.at.own,), (item.name,), cuts=True)
        watch.require(said, any_of((less(now, due), less(due, now))), opposite(bad))


def _measured(item: Input) -> Node:
    shown = Read(item.name, Type.REAL)
    return shown if item.raw is None else _on_its_line(item, item.raw, shown)


def _on_its_line(item: Input, raw: Raw, shown: Node) -> Node:
    """In the order in which the controller reckons, so that both round alike."""
    low, high = (in_unit(item, end) for end in (item.low, item.high))
    steps, each = Subtract(shown, real(raw.low)), (high - low) / (raw.high - raw.low)
    if item.cut_off is not None:
        least = real(as_handed(item, item.cut_off))
        return choose(less(shown, least), real(0.0), SquareRoot(Multiply(steps, real(each * high))))
    return Add(real(low), steps if each == 1.0 else Multiply(steps, real(each)))


def _words(item: Input, name: str) -> str:
    low, high = (written(end, item.kind, item.unit) for end in (item.low, item.high))
    way = f"{name} is {item.name} as it is measured"
    if item.raw is not None:
        ends = [f"{end:.15g} {item.raw.unit}".rstrip() for end in (item.raw.low, item.raw.high)]
        way = f"{name} is {low} where {item.name} is {ends[0]}, {high} where it is {ends[1]}"
        way += ", by the root between" if item.cut_off is not None else ", on a line between"
    if item.cut_off is not None:
        way += f", and 0 below {written(item.cut_off, item.kind, item.unit)}"
    if item.when_bad == "go on":
        way += f"; {written(item.substitute, item.kind, item.unit)} while the sensor is out of its range"
    return f"{way}."


READINGS: tuple[Callable[[Watch], None], ...] = (readings_as_measured,)
