"""What a bench may ask of a program besides: the last scans as they were, and a beat that is echoed.

Rule of this file: it reads the controller and changes nothing in it. Slot 1 of the recorder is this scan,
slot 2 the one before it, and so on; each has the scan's number, how long ago the scan before was, the inputs
as they were read and the outputs as they were made.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from attrs import frozen

from steadfall.logic.build.readings import scan_time
from steadfall.logic.forms import at_least, choose, different, opposite, real
from steadfall.logic.forms import ms as duration
from steadfall.logic.network import Input, Network
from steadfall.logic.nodes import Add, Previous, Read, Ton, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.model import Plan
from steadfall.roles import Identity, Named, Role

SPAN_MS, LEAST_SLOTS = 160, 4  # what slots hold together: three cycles of 50 ms; and how many at least
NUMBERS = 10_000.0  # scans are numbered from 0 to one less than that, again and again
LOST_MS = 500  # without a new beat it is lost


class Extra(StrEnum):
    """What a program may carry besides its logic."""

    RECORDER = "recorder"
    HEARTBEAT = "heartbeat"


@frozen
class Slots:
    """The names of the recorder's signals, slot by slot, the latest first."""

    numbers: tuple[str, ...]
    times: tuple[str, ...]
    signals: tuple[Mapping[str, str], ...]  # signal -> its copy in a slot

    @property
    def names(self) -> tuple[str, ...]:
        """All of them."""
        return (*self.numbers, *self.times, *(name for slot in self.signals for name in slot.values()))


BEAT = Named("bench.beat", Identity(Role.BEAT, of="beat"))  # an input: it changes while a bench is there
ECHO = Named("bench.echo", Identity(Role.BEAT, of="echo"))  # the beat as the last scan saw it
LOST = Named("bench.lost", Identity(Role.BEAT, of="lost"))  # no beat has come for so long


def slots(plan: Plan, network: Network) -> Slots:
    """What the recorder of a network is made of."""
    many = range(1, max(LEAST_SLOTS, -(-SPAN_MS // plan.scan.nominal_ms)) + 1)
    kept = [row.name for row in network.inputs if row.name in plan.inputs]
    kept += [*network.outputs, *network.named(Role.STAGE)]
    return Slots(
        tuple(_named(slot, "scan").name for slot in many),
        tuple(_named(slot, "scan_time").name for slot in many),
        tuple({name: _named(slot, name).name for name in kept} for slot in many),
    )


def _named(slot: int, of: str) -> Named:
    return Named(f"record.{slot}.{of}", Identity(Role.RECORD, of=of))


def with_extras(plan: Plan, network: Network, extras: frozenset[Extra]) -> Network:
    """A network and what it carries besides; its outputs are the same."""
    beat = (Input(BEAT.name, Type.BOOL, identity=BEAT.identity),) if Extra.HEARTBEAT in extras else ()
    sheet = Sheet((*network.inputs, *beat), network.types)
    sheet.rows, sheet.types = list(network.assignments), {**sheet.types, **network.types}
    if Extra.RECORDER in extras:
        _recorder(sheet, plan, slots(plan, network))
    if Extra.HEARTBEAT in extras:
        _heartbeat(sheet, plan)
    return sheet.network(network.outputs)


def _recorder(sheet: Sheet, plan: Plan, made: Slots) -> None:
    mark, types = plan.at.of("scan"), dict(sheet.types)
    ago = scan_time(sheet, plan)
    for slot in range(len(made.numbers), 1, -1):
        for name, before in zip(_slot(made, slot - 1), _slot(made, slot - 2), strict=True):
            kind = types.get(before[1], before[2])
            sheet.put(Named(name[0], Identity(Role.RECORD, of=name[1])), Previous(before[0], kind), mark)
    first = _slot(made, 0)
    last = Previous(first[0][0], Type.REAL)
    number = choose(at_least(last, real(NUMBERS - 1.0)), real(0.0), Add(last, real(1.0)))
    sheet.put(Named(first[0][0], Identity(Role.RECORD, of="scan")), number, mark)
    sheet.put(Named(first[1][0], Identity(Role.RECORD, of="scan_time")), ago, mark)
    for own, of, _ in first[2:]:
        sheet.put(Named(own, Identity(Role.RECORD, of=of)), Read(of, types[of]), mark)


def _slot(made: Slots, at: int) -> list[tuple[str, str, Type]]:
    """Of a slot: each name, what it is a copy of, and the type of what is no signal."""
    found = [(made.numbers[at], "", Type.REAL), (made.times[at], "", Type.TIME)]
    return found + [(name, of, Type.BOOL) for of, name in made.signals[at].items()]


def _heartbeat(sheet: Sheet, plan: Plan) -> None:
    mark, beat = plan.at.of("scan"), Read(BEAT.name, Type.BOOL)
    same = opposite(different(beat, Previous(ECHO.name, Type.BOOL)))
    sheet.put(LOST, Ton(same, duration(LOST_MS, "bench.lost")), mark)
    sheet.put(ECHO, beat, mark)
