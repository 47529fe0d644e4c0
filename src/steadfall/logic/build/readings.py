"""Measured inputs as the controller works with them.

Rule of this file: whatever looks at a measured value takes it from here. An input that is worked with as it
is has no row of its own; one that is worked out of milliamperes or counts, is filtered, or goes on with a
value while its sensor is bad, has `NAME.value`. Whether a sensor is bad is judged by what it shows, once, as
`NAME.good`, where something of the controller goes by it.
"""

from __future__ import annotations

from steadfall.logic.filters import filtered
from steadfall.logic.forms import TRUE, all_of, choose, less, opposite, real
from steadfall.logic.nodes import (
    Add,
    Compare,
    Multiply,
    Node,
    Previous,
    Read,
    Since,
    SquareRoot,
    Subtract,
    Type,
)
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.handed import DIGITS, handed_by
from steadfall.plan.meaning.names import input_identity
from steadfall.plan.meaning.trust import trusted
from steadfall.plan.model import Input, Plan, Raw
from steadfall.roles import Named, Role, of_input, of_plant
from steadfall.units import scale, value_in

LONGEST_MS = 86_400_000  # as far as a clock of the text counts; the time of a scan is begun anew in each


def in_unit(source: Input, value: float) -> float:
    """An SI value in the unit in which the controller works with an input."""
    return value if source.kind == "percent" else round(value_in(value, source.unit, source.kind), DIGITS)


def si_of(source: Input, value: float) -> float:
    """A value in the unit in which the controller works with an input, in SI."""
    factor, offset = scale(source.unit, source.kind)
    return value * factor + offset


def as_handed(source: Input, value: float) -> float:
    """An SI value as the controller is handed it by an input."""
    return in_unit(source, value) if source.raw is None else round(handed_by(source).of(value), DIGITS)


def readings(sheet: Sheet, plan: Plan) -> None:
    """Writes what the controller works with, above everything that asks for it."""
    asked = trusted(plan)
    for item in plan.inputs.values():
        if item.name in asked or _by_root(item):
            wish = of_input(Role.GOOD, item.name, input_identity(plan, item.name))
            sheet.put(wish, _between(_shown(item), item.name, *_good_as_handed(item)), item.at.own)
        reading(sheet, plan, item.name)


def reading(sheet: Sheet, plan: Plan, name: str) -> Read:
    """A measured input as the controller works with it."""
    item = plan.inputs[name]
    shown = _shown(item)
    if item.when_bad != "go on" and not item.filter_ms and item.raw is None:
        return shown
    wish = of_input(Role.VALUE, name, input_identity(plan, name))
    if wish.name in sheet.types:
        return Read(wish.name, Type.REAL)
    value = shown if item.raw is None else _worked_out(item, item.raw, shown)
    if item.when_bad == "go on":
        instead = real(in_unit(item, item.substitute), f"{name}.instead")
        value = choose(good(sheet, plan, item), value, instead)
    if item.filter_ms and item.raw is not None:
        value = sheet.put(of_input(Role.UNFILTERED, name, wish.identity), value, item.at.of("raw"))
    if item.filter_ms:
        value = _filtered(sheet, plan, item, value, wish)
    key = "filter" if item.filter_ms else "when_bad" if item.when_bad == "go on" else "raw"
    begun = in_unit(item, item.speaks[0]) if item.filter_ms else None
    return sheet.put(wish, value, item.at.of(key), begun)


def _worked_out(item: Input, raw: Raw, shown: Node) -> Node:
    """The value in the unit of the range, on the line through its two ends; or the root, from its cut-off
    on.
    """
    low, high = (in_unit(item, end) for end in (item.low, item.high))
    above = Subtract(shown, real(raw.low, f"{item.name}.raw_low"))
    gain = (high - low) / (raw.high - raw.low)
    if item.cut_off is not None:
        drop = Multiply(above, real(gain * high, f"{item.name}.per_raw"))
        least = real(as_handed(item, item.cut_off), f"{item.name}.cut_off")
        return choose(less(shown, least), real(0.0), SquareRoot(drop))
    steps = above if gain == 1.0 else Multiply(above, real(gain, f"{item.name}.per_raw"))
    return Add(real(low, f"{item.name}.low"), steps)


def _filtered(sheet: Sheet, plan: Plan, item: Input, value: Node, wish: Named) -> Node:
    """A first-order lag by steps: each scan goes as far as its share of the filter's time.

    Only between two values that a good sensor shows; so it begins with the first of them, and what a broken
    wire showed is not remembered. Before the first scan it is one of a bad sensor.
    """
    before = Previous(wish.name, Type.REAL)
    share = real(1.0 / item.filter_ms, f"{item.name}.filter_per_ms")
    now = good(sheet, plan, item)
    if _by_root(item):  # there no flow may be a broken wire
        name = of_input(Role.GOOD, item.name, input_identity(plan, item.name)).name
        return filtered(before, value, (now, Previous(name, Type.BOOL)), scan_time(sheet, plan), share)
    now = now if value == _shown(item) else _within(item, value)
    return filtered(before, value, (now, _within(item, before)), scan_time(sheet, plan), share)


def _by_root(item: Input) -> bool:
    """Whether it filters what is worked out by a root."""
    return item.cut_off is not None and item.filter_ms > 0


def scan_time(sheet: Sheet, plan: Plan) -> Read:
    """How long ago the scan before was."""
    mark, name = plan.at.of("scan"), of_plant(Role.SCAN_TIME)
    if name.name in sheet.types:
        return Read(name.name, Type.TIME)
    every = sheet.helper(of_plant(Role.SCAN), TRUE, mark)
    return sheet.put(name, Since(every.name, LONGEST_MS), mark)


def good(sheet: Sheet, plan: Plan, item: Input) -> Node:
    """The sensor of an input is not out of its range, as the controller has found."""
    name = of_input(Role.GOOD, item.name, input_identity(plan, item.name)).name
    return Read(name, Type.BOOL) if name in sheet.types else opposite(is_bad(item))


def is_bad(item: Input) -> Node:
    """The sensor of an input is out of its range, by what it shows and not by what the controller found."""
    return opposite(_between(_shown(item), item.name, *_good_as_handed(item)))


def _good_as_handed(item: Input) -> tuple[float, float]:
    low, high = (as_handed(item, end) for end in item.good)
    return low, high


def _shown(item: Input) -> Read:
    return Read(item.name, Type.BOOL if item.is_digital else Type.REAL)


def _within(item: Input, value: Node) -> Node:
    """A value is one that a good sensor shows."""
    label = item.name if item.raw is None else f"{item.name}.value"
    return _between(value, label, *(in_unit(item, end) for end in item.good))


def _between(value: Node, label: str, low: float, high: float) -> Node:
    """Above one end and below the other, which no value is that is not a number."""
    above = Compare(">", value, real(low, f"{label}.bad_below"))
    return all_of((above, less(value, real(high, f"{label}.bad_above"))))
