"""Rows of how a valve is used: its shortest opening and pause, and the batches that its life lasts."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.plan.meaning.settled import at_low, settled
from steadfall.plan.model import CircuitType, Dose, Plan, Valve
from steadfall.plan.model.sequence import Pulses
from steadfall.quantities import COUNT, SECONDS
from steadfall.size.row import Check, Row, at_least
from steadfall.size.works import Inlet, Works

WITHIN = 0.2  # of a dose, that a scan more or less may make of it (our choice)
BATCHES = 1000  # that a valve should last: some four years of one on each of 250 days (our choice)


def opening_rows(found: Works, one: Inlet) -> Iterator[Row]:
    """Every row of how a valve is used."""
    yield from _opening(found, one)
    yield from _pause(found, one)
    yield from life(found, one.drawn.kind, one.drawn.valve, one.circuits)


def _doses(plan: Plan, one: Inlet) -> list[tuple[int, int]]:
    """Opening and pause in ms of every dose that the valve gives."""
    kind = plan.circuit_types[one.drawn.kind.name]
    found = []
    for stage in kind.stages:
        action = stage.actions.get(one.drawn.valve.name)
        if isinstance(action, Dose):
            found.append((action.open_ms, action.shut_ms))
            if isinstance(action.then, Pulses):
                found.append((action.then.open_ms, action.then.shut_ms))
    return found


def _opening(found: Works, one: Inlet) -> Iterator[Row]:
    """The shortest opening of a dose, against travel, scan and the valve's own least."""
    valve, scan = one.drawn.valve, found.plan.scan
    doses = _doses(settled(found.plan, at_low), one)
    if not doses:
        return
    scans = f"a scan of {scan.longest_ms} ms more or less is then {100 * WITHIN:.0f} % of it"
    by = {
        f"it opens in {1000 * valve.travel:.0f} ms": valve.travel,
        scans: scan.longest_ms / 1000 / WITHIN,
        f"its own least is {valve.shortest_open_ms} ms": valve.shortest_open_ms / 1000,
    }
    words, asked = max(by.items(), key=lambda pair: pair[1])
    given = min(opened for opened, _ in doses) / 1000
    error = 100 * scan.longest_ms / 1000 / given
    words += "" if words == scans else f"; a scan more or less is {error:.0f} % of a dose"
    yield at_least(one.about, Check.OPENING, asked, given, SECONDS, reason=words, mark=one.drawn.valve.at.own)


def _pause(found: Works, one: Inlet) -> Iterator[Row]:
    """The shortest pause between doses: the valve must be shut before it opens again."""
    valve = one.drawn.valve
    doses = _doses(settled(found.plan, at_low), one)
    if not doses:
        return
    asked = max(valve.travel, valve.shortest_shut_ms / 1000)
    given = min(shut for _, shut in doses) / 1000
    own = valve.shortest_shut_ms / 1000 >= valve.travel
    shuts = f"it shuts in {1000 * valve.travel:.0f} ms"
    words = f"its own least is {valve.shortest_shut_ms} ms" if own else shuts
    yield at_least(one.about, Check.PAUSE, asked, given, SECONDS, reason=words, mark=one.drawn.valve.at.own)


def life(found: Works, kind: CircuitType, valve: Valve, circuits: tuple[str, ...]) -> Iterator[Row]:
    """Batches until the rated openings of a valve are used up, of the circuit that opens it most."""
    opened = max(found.valve_use(name, valve.name).openings for name in circuits)
    if valve.life is None or not opened:
        return
    words = f"{opened:,} of {valve.life:,} openings a batch; one a working day for four years"
    about, mark = f"{kind.name}.{valve.name}", valve.at.of("life")
    yield at_least(about, Check.LIFE, float(BATCHES), valve.life / opened, COUNT, reason=words, mark=mark)
