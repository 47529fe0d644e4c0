"""When a dosed valve is open within its stage.

Rule of this file: an opening ends in the first scan at or after its time, a pause likewise, and the next
begins in that same scan; so the period is open + shut, each rounded up to the scan, and nothing drifts. A
circuit whose doses are delayed begins each stage with that wait. A free clock is the common practice instead:
two on-delay timers that reset each other, started at power-up; its openings are exact while the stage lasts,
its pauses two scans longer, and a stage entered in mid-dose gets the rest of it.
"""

from __future__ import annotations

from collections.abc import Callable

from attrs import frozen

from steadfall.logic.build.sequence import Sequence
from steadfall.logic.forms import (
    all_of,
    any_of,
    at_least,
    boolean,
    choose,
    different,
    less,
    lookup,
    ms,
    opposite,
)
from steadfall.logic.nodes import Compare, Node, Previous, Read, Since, Ton, Tp, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.model import Action, Dose, Pulses
from steadfall.plan.model.setting import high_end, low_end
from steadfall.roles import Named, Role, clock, command, later_clock, of_valve
from steadfall.source import Mark

Row = tuple[Action | None, ...]


@frozen
class Dosed:
    """A valve that doses: whose it is, what it does in each state, its circuit's sequence, its delay."""

    circuit: str
    valve: str  # its name in the circuit
    row: Row
    sequence: Sequence
    delay_ms: int
    mark: Mark
    longest_delay_ms: int = (
        0  # of the circuits that are to be written alike; 0 where each is written by itself
    )

    @property
    def command(self) -> str:
        """The name of its command."""
        return command(self.circuit, self.valve).name

    def signal(self, role: Role, of: str = "") -> Named:
        """The name of a signal of the valve."""
        return of_valve(role, self.circuit, self.valve, of)

    def first(self, action: Action) -> str:
        """The first state in which the valve does this."""
        return self.sequence.names[self.row.index(action)]

    def early(self, dose: Dose) -> Node:
        """The stage has not lasted as long as its first doses go on."""
        of = f"{self.valve}.{self.first(dose)}.for"
        still = less(self.sequence.time, ms(dose.for_ms or 0, of, dose.at.own))
        return any_of((self.sequence.entered, still))

    def during(self, wanted: Callable[[Action | None], bool]) -> Node:
        """True in the states whose action is wanted."""
        return lookup(self.sequence.stage, [boolean(wanted(action)) for action in self.row])


def restarting(action: Action | None) -> bool:
    """A dose whose clock begins with the stage."""
    return isinstance(action, Dose) and action.clock == "restart"


def dose_open(sheet: Sheet, dosed: Dosed) -> Read:
    """Writes the dose clock that begins with each stage; true while a dose is due."""
    mark, entered = dosed.mark, dosed.sequence.entered
    doses = [action for action in dosed.row if isinstance(action, Dose) and restarting(action)]
    turned, opening = (sheet.free(dosed.signal(role)) for role in (Role.DOSE_TURN, Role.DOSE_OPEN))
    spans = [span for dose in doses for span in (dose.open_ms, dose.shut_ms)]
    later = [span for dose in doses if isinstance(dose.then, Pulses) for span in _of_pulses(dose.then)]
    longest = max(dosed.longest_delay_ms, *map(high_end, (dosed.delay_ms, *spans, *later)))
    time = sheet.helper(dosed.signal(Role.DOSE_TIME), Since(turned.name, longest), mark)
    dosing = sheet.helper(dosed.signal(Role.DOSING), dosed.during(restarting), mark)
    opens, shuts = _span(dosed, "open"), _span(dosed, "shut")
    last = Previous(opening.name, Type.BOOL)
    phase = choose(last, less(time, opens), at_least(time, shuts))
    begins, may = waiting(sheet, dosed, dosing, time)
    is_open = sheet.put(opening, all_of((dosing, may, any_of((begins, phase)))), mark)
    sheet.put(turned, any_of((entered, different(is_open, last))), mark)
    return is_open


def waiting(sheet: Sheet, dosed: Dosed, busy: Node, time: Node) -> tuple[Node, Node]:
    """What begins the first dose of a stage, and what holds it back: a delayed circuit waits when it enters.

    Where circuits are written alike, one without a delay is written as if it might have one.
    """
    entered, longest = dosed.sequence.entered, high_end(dosed.delay_ms)
    may_wait = dosed.longest_delay_ms > 0 or low_end(dosed.delay_ms) < longest
    if not longest and not may_wait:
        return entered, boolean(True)
    waits, delay = sheet.free(dosed.signal(Role.DOSE_WAIT)), ms(dosed.delay_ms, "delay_doses")
    last = Previous(waits.name, Type.BOOL)
    delayed = [Compare(">", delay, ms(0))] if may_wait else []
    still = all_of((last, less(time, delay)))
    wait = sheet.put(waits, all_of((busy, *delayed, any_of((entered, still)))), dosed.mark)
    begins = any_of((last, all_of((entered, opposite(delayed[0]))))) if may_wait else last
    return begins, opposite(wait)


def _span(dosed: Dosed, what: str) -> Node:
    """How long the valve is to be open or shut in the present stage; a state that does not dose borrows a
    span.
    """
    spans = [getattr(action, f"{what}_ms") if restarting(action) else None for action in dosed.row]
    known = [span for span in spans if span is not None]
    alike, names = len(set(known)) == 1, dosed.sequence.names
    labels = [f"{dosed.valve}.{what}" if alike else f"{dosed.valve}.{name}.{what}" for name in names]
    marks = [action.at.own if action else dosed.mark for action in dosed.row]
    rows = zip(spans, labels, marks, strict=True)
    borrowed = ms(known[0], labels[0] if alike else "")
    entries = [borrowed if span is None else ms(span, label, mark) for span, label, mark in rows]
    entries = [_changing(dosed, what, *pair) for pair in zip(dosed.row, entries, names, strict=True)]
    return lookup(dosed.sequence.stage, entries, f"{dosed.valve}.{what}_for")


def _of_pulses(pulses: Pulses) -> tuple[int, int]:
    return pulses.open_ms, pulses.shut_ms


def _changing(dosed: Dosed, what: str, action: Action | None, first: Node, name: str) -> Node:
    """A span that is another after the first doses of its stage."""
    if not (isinstance(action, Dose) and isinstance(action.then, Pulses)):
        return first
    later = getattr(action.then, f"{what}_ms")
    return choose(
        dosed.early(action), first, ms(later, f"{dosed.valve}.{name}.then.{what}", action.then.at.own)
    )


class FreeClocks:
    """The shared clocks that run from power-up on, one for each pair of times."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.clocks: dict[tuple[int, int], Read] = {}
        self.delayed: dict[tuple[int, int, int], Read] = {}

    def open(self, dose: Dose, delay_ms: int, mark: Mark) -> Read:
        """True while the shared clock says open; for a delayed circuit, that much later."""
        key = dose.open_ms, dose.shut_ms
        if key not in self.clocks:
            self.clocks[key] = self._clock(dose, mark)
        lag = delay_ms % (dose.open_ms + dose.shut_ms)
        if not lag:
            return self.clocks[key]
        if (*key, lag) not in self.delayed:
            self.delayed[*key, lag] = self._later(self.clocks[key], dose, lag, mark)
        return self.delayed[*key, lag]

    def _clock(self, dose: Dose, mark: Mark) -> Read:
        sheet = self.sheet
        opening, shut_over, open_over = (
            clock(dose.open_ms, dose.shut_ms, part) for part in ("open", "shut_over", "open_over")
        )
        name, open_over = opening.identity.of, sheet.free(open_over)
        shut = Ton(opposite(Previous(open_over.name, Type.BOOL)), ms(dose.shut_ms, f"{name}.shut"))
        shut_is_over = sheet.helper(shut_over, shut, mark)
        over = sheet.put(open_over, Ton(shut_is_over, ms(dose.open_ms, f"{name}.open")), mark)
        return sheet.helper(opening, all_of((shut_is_over, opposite(over))), mark)

    def _later(self, clock: Read, dose: Dose, lag: int, mark: Mark) -> Read:
        sheet, later = self.sheet, later_clock(clock.name, lag)
        waits = sheet.free(later_clock(clock.name, lag, "wait"))
        wait = sheet.put(waits, Tp(clock, ms(lag, f"{later.name}.lag")), mark)
        ended = all_of((Previous(waits.name, Type.BOOL), opposite(wait)))
        return sheet.helper(later, Tp(ended, ms(dose.open_ms, f"{later.name}.open")), mark)
