"""The requirement that follows from any plan without being asked, of filters.

Rule of this file: as in `derived.guards`. What a filter makes of a reading is worked out from the plan anew,
from what the controller has of the reading now and of the filtered value in the scan before. In the order in
which the controller reckons, so that both round alike.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.logic.build.readings import LONGEST_MS, good, in_unit, is_bad
from steadfall.logic.forms import FALSE, TRUE, all_of, any_of, choose, different, less, opposite, real
from steadfall.logic.nodes import Add, Compare, Least, Multiply, Node, Previous, Read, Subtract, ToReal, Type
from steadfall.plan.meaning.names import input_identity
from steadfall.plan.model import Input
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.watch import Said, Watch
from steadfall.roles import Role, of_input, of_plant
from steadfall.units import written


def readings_are_filtered(watch: Watch) -> None:
    """A filtered value goes its share of the way to the reading in each scan, and begins anew at power-up and
    where a value is one of a bad sensor.
    """
    for item in watch.plan.inputs.values():
        if not item.filter_ms:
            continue
        name = _signal(watch, item, Role.VALUE)
        label, now, value = f"{name}.as_filtered", Read(name, Type.REAL), _unfiltered(watch, item)
        goes_on = _goes_on(watch, item, value, label)
        due = choose(goes_on, _nearer(watch, item, value), value)
        said = Said(label, _words(watch, item, name), (item.at.of("filter"),), (item.name,), cuts=True)
        before = (_misjudged(watch, item), _mistimed(watch, item, label), _begun_with(watch, item))
        watch.require(said, any_of((*before, less(now, due), less(due, now))), goes_on)


def _signal(watch: Watch, item: Input, role: Role) -> str:
    return of_input(role, item.name, input_identity(watch.plan, item.name)).name


def _unfiltered(watch: Watch, item: Input) -> Node:
    """The reading as the filter is handed it; of what is worked out first the controller has a row."""
    if item.raw is not None:
        return Read(_signal(watch, item, Role.UNFILTERED), Type.REAL)
    shown = Read(item.name, Type.REAL)
    if item.when_bad != "go on":
        return shown
    return choose(good(watch.sheet, watch.plan, item), shown, real(in_unit(item, item.substitute)))


def _misjudged(watch: Watch, item: Input) -> Node:
    """The controller finds a sensor good that is bad, or the other way round, where it asks that here."""
    if item.raw is not None or item.when_bad != "go on":
        return FALSE
    return different(good(watch.sheet, watch.plan, item), opposite(is_bad(item)))


def _mistimed(watch: Watch, item: Input, label: str) -> Node:
    """The controller has another time of the scan than there was since the scan before."""
    age = watch.since(f"{label}:scan", TRUE, LONGEST_MS, item.at.own, before_power=0)
    return different(age, _scan_time())


def _scan_time() -> Read:
    return Read(of_plant(Role.SCAN_TIME).name, Type.TIME)


def _nearer(watch: Watch, item: Input, value: Node) -> Node:
    """Its share of the way from the value of the scan before, at most all of it."""
    before = Previous(_signal(watch, item, Role.VALUE), Type.REAL)
    share = Least(Multiply(ToReal(_scan_time()), real(1.0 / item.filter_ms)), real(1.0))
    return Add(before, Multiply(Subtract(value, before), share))


def _goes_on(watch: Watch, item: Input, value: Node, label: str) -> Node:
    """It has a value of a good sensor now, and had one in the scan before."""
    if item.cut_off is not None:  # there no flow may be a broken wire, so what is handed over says it
        reads = watch.forgotten(f"{label}:good", opposite(is_bad(item)), item.at.own)
        return all_of((reads, Previous(reads.name, Type.BOOL)))
    before = Previous(_signal(watch, item, Role.VALUE), Type.REAL)
    return all_of((_sound(item, value), _sound(item, before)))


def _begun_with(watch: Watch, item: Input) -> Node:
    """In the first scan it goes on from what it begins with, as from a good sensor's. No engine knows what a
    measured value was in the scan before, so this asks what the network begins with.
    """
    name = _signal(watch, item, Role.VALUE)
    begins = [row.initial for row in watch.sheet.rows if row.name == name]
    sound = any_of(_sound(item, real(float(value))) for value in begins)
    return FALSE if item.cut_off is not None else all_of((opposite(watch.ran()), sound))


def _sound(item: Input, value: Node) -> Node:
    """A value is one that a good sensor shows."""
    low, high = (real(in_unit(item, end)) for end in item.good)
    return all_of((Compare(">", value, low), less(value, high)))


def _words(watch: Watch, item: Input, name: str) -> str:
    of = item.name if item.raw is None else _signal(watch, item, Role.UNFILTERED)
    if item.raw is None and item.when_bad == "go on":
        of += f" ({written(item.substitute, item.kind, item.unit)} while the sensor is out of its range)"
    return (
        f"{name} goes towards {of} in each scan by the part that the time of the scan is of"
        f" {time(item.filter_ms)}, at most all the way; it begins anew with that value at"
        " power-up, and where this value or the one of the scan before is one of a sensor out of its range."
    )


FILTERS: tuple[Callable[[Watch], None], ...] = (readings_are_filtered,)
