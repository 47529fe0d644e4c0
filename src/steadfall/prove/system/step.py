"""The step relation of a network: a delay, then one scan, as the solver sees it.

Rule of this file: a step is a delay d and a scan. d is 1 ms up to the longest scan, or, from a settled state,
up to a longest scan past the moment at which something is due (`prove.system.delays`). In the first scan no
time has passed. A state is settled when the same scan again, with the same inputs and no time, would change
nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Set
from typing import Any

from attrs import evolve, frozen

from steadfall.logic import nodes
from steadfall.logic.network import ZERO, Assignment, Network
from steadfall.logic.nodes import TIMERS, Type
from steadfall.logic.types import walk
from steadfall.prove.solver import terms
from steadfall.prove.solver.space import Space
from steadfall.prove.system.delays import Delays
from steadfall.prove.system.intervals import Places
from steadfall.prove.system.meaning import Pass, least, parts
from steadfall.prove.system.ranges import Range, ranges
from steadfall.prove.system.reals import Exact, measured
from steadfall.prove.system.unbounded import unbounded

STARTED, SETTLED = "started", "settled"
CUT, OFF = "power_cut", "off_ms"  # inputs of a step: the power fails now, and is back after so long


@frozen
class Slot:
    """A part of the state: what it is, how it begins, between which ends it stays."""

    # `last:NAME`; `et:NAME` and `state:NAME` of a timer; `age:NAME` of a Since, from which the next scan
    # counts on (0 where its event has just been); `started`, `settled`.
    key: str
    initial: bool | int | float  # a float: a measured value, in an exact model
    low: float = -math.inf
    high: float = math.inf
    clock: bool = False  # grows with time
    watches: bool = False  # of an observer, which a power cut spares

    @property
    def kind(self) -> str:
        """What of a signal it is: `last`, `et`, `state`, `age`."""
        return parts(self.key)[0]

    @property
    def name(self) -> str:
        """The signal of which it is; empty where it is of none."""
        return parts(self.key)[1]


@frozen(eq=False)
class Model:
    """A network as a transition system: state, inputs, what a step gives, and what it may be."""

    network: Network
    longest_ms: int
    slots: tuple[Slot, ...]
    pre: Mapping[str, Any]
    post: Mapping[str, Any]
    dt: Any
    inputs: tuple[Any, ...]  # dt first
    named: Mapping[str, Any]  # BOOL, INT and TIME inputs by signal name
    allowed: Any  # which delay and inputs a step may have
    ends: Any  # of the state, in symbols before the step
    places: Places
    values: Mapping[str, Any]  # every BOOL, INT and TIME signal in the scan
    space: Space
    exact: bool = False  # measured values are real numbers: to find runs, not to prove

    @property
    def plain(self) -> bool:
        """Whether a step is a scan and nothing else: no power cut, no delay longer than a scan."""
        symbols = {str(symbol) for symbol in self.inputs}
        return CUT not in symbols and SETTLED not in self.pre and not self.exact

    @property
    def state(self) -> list[Any]:
        """The state before a step, in the order of the slots."""
        return [self.pre[slot.key] for slot in self.slots]

    @property
    def after(self) -> list[Any]:
        """The state after a step, in the order of the slots."""
        return [self.post[slot.key] for slot in self.slots]

    @property
    def start(self) -> list[Any]:
        """The state before the first scan."""
        return [self.space.value(slot.initial) for slot in self.slots]

    def begins(self) -> Any:
        """That the state is the one before the first scan."""
        return terms.And([a == b for a, b in zip(self.state, self.start, strict=True)])


def model(
    network: Network,
    longest_ms: int,
    *,
    power_cut: bool = False,
    ended: bool = False,
    exact: bool = False,
    single: bool = False,
) -> Model:
    """The transition system of a network whose scans are at most so far apart, with or without power cuts.

    `ended`: clocks stop at their limits, also where nothing can tell. `exact`: see `prove.system.reals`.
    `single`: no delay is longer than a scan; every run is a run of such steps, so it is enough to prove with.
    """
    known = ranges(network)
    free = frozenset[str]() if ended else unbounded(network, known)
    slots = (*_slots(network, known, free), *(Slot(*row) for row in measured(network) if exact))
    slots = tuple(slot for slot in slots if not (single and slot.key == SETTLED))
    observers = {name for name, what in network.identities.items() if what.watches}
    slots = tuple(evolve(slot, watches=slot.name in observers) for slot in slots)
    space = Space()
    pre = {slot.key: space.symbol(slot.key, slot.initial) for slot in slots}
    held = {key: symbol for key, symbol in pre.items() if key not in (STARTED, SETTLED)}
    named = {
        row.name: space.symbol(f"input:{row.name}", ZERO[row.type])
        for row in network.inputs
        if exact or row.type is not Type.REAL
    }
    dt, places = space.whole("dt"), Places(space)
    steps: dict[str, Any] = {}
    scan = Exact if exact else Pass
    run = scan(network, places, held, dt, named, steps, free)
    run.run()
    post = {key: terms.simplify(term) for key, term in run.post.items()}
    post[STARTED] = space.value(True)
    longer = None
    if not single:
        again = scan(network, places, run.post, space.value(0), named, steps, free)
        again.run()
        post[SETTLED] = terms.simplify(_settled(network, run.post, again))
        longer = terms.And(pre[SETTLED], *Delays(network, pre, space).rules(dt, longest_ms))
    given = (*places.order(), *_rounding(steps, places), *_within(network, named))
    if isinstance(run, Exact):
        given = (*given, *run.limits(longest_ms))
    allowed = terms.And(_delay(pre[STARTED], longer, dt, longest_ms), *given)
    values = {name: term for name, term in run.values.items() if terms.is_expr(term)}
    extra: tuple[Any, ...] = ()
    if power_cut:
        cut, off = space.boolean(CUT), space.whole(OFF)
        extra = (cut, off)
        post = {slot.key: terms.If(cut, _after_cut(slot, pre, off, space), post[slot.key]) for slot in slots}
        allowed = terms.If(cut, terms.And(pre[STARTED], dt == 0, off >= 0), allowed)
        values = {
            name: terms.And(term, terms.Not(cut)) if terms.is_bool(term) else term
            for name, term in values.items()
        }
    return Model(
        network,
        longest_ms,
        slots,
        pre,
        post,
        dt,
        (dt, *named.values(), *places.variables(), *steps.values(), *extra),
        named,
        allowed,
        space.all_of(_ends(slots, pre, network)),
        places,
        values,
        space,
        exact,
    )


def _after_cut(slot: Slot, pre: Mapping[str, Any], off: Any, space: Space) -> Any:
    """What a power cut leaves: the controller as at its start, what watches it as it was, its ages so much
    older.
    """
    if slot.watches:
        before = pre[slot.key]
        later = before + off
        return (
            before
            if slot.kind != "age"
            else least(later, int(slot.high))
            if math.isfinite(slot.high)
            else later
        )
    return space.value(slot.initial)


def _slots(network: Network, known: Mapping[str, Range], free: Set[str]) -> tuple[Slot, ...]:
    found = [Slot(STARTED, False), Slot(SETTLED, False)]
    types = network.types
    initial = {row.name: row.initial for row in network.inputs}
    initial |= {row.name: row.initial for row in network.assignments}
    for name in dict.fromkeys(
        [*_remembered(network), *(row.name for row in network.assignments if _latches(row))]
    ):
        kind = types[name]
        if kind is Type.BOOL:
            found.append(Slot(f"last:{name}", bool(initial.get(name, False))))
        elif kind is not Type.REAL:
            found.append(Slot(f"last:{name}", int(initial.get(name, 0)), *known[name]))
    for row in network.assignments:
        if isinstance(row.node, nodes.Since):
            begun = bool(initial.get(row.node.event, False))
            low, high = known[row.name]
            end = math.inf if row.name in free else high
            found.append(Slot(f"age:{row.name}", 0 if begun else int(row.initial), low, end, clock=True))
        if isinstance(row.node, nodes.Rise | nodes.Fall):
            found.append(Slot(f"state:{row.name}", False))
        if isinstance(row.node, TIMERS):
            found.append(Slot(f"et:{row.name}", 0, *known[f"{row.name}.ET"], clock=True))
            two = isinstance(row.node, nodes.Ton)
            found.append(Slot(f"state:{row.name}", False) if two else Slot(f"state:{row.name}", 0, 0, 3))
    return tuple(found)


def _remembered(network: Network) -> Iterable[str]:
    """The signals whose last value some node reads, in the order of the network."""
    nodes_ = (node for row in network.assignments for node in walk(row.node))
    return (node.name for node in nodes_ if isinstance(node, nodes.Previous))


def _latches(row: Assignment) -> bool:
    return isinstance(row.node, nodes.SetDominant | nodes.ResetDominant)


def _settled(network: Network, once: Mapping[str, Any], again: Pass) -> Any:
    same = [once[key] == again.post[key] for key in once if not once[key].eq(again.post[key])]
    rows = (row.node for row in network.assignments)
    events = dict.fromkeys(node.event for node in rows if isinstance(node, nodes.Since))
    return again.space.all_of([*same, *(terms.Not(again.values[event]) for event in events)])


def _delay(started: Any, longer: Any | None, dt: Any, longest: int) -> Any:
    """How long a step may take; `longer`: when it may be more than a scan."""
    most = dt <= longest if longer is None else terms.Or(dt <= longest, longer)
    return terms.If(started, terms.And(dt >= 1, most), dt == 0)


def _within(network: Network, named: Mapping[str, Any]) -> Iterable[Any]:
    """The ends of the INT inputs, where they are known; what was set free has none."""
    for row in network.inputs:
        if row.holds:
            yield from (named[row.name] >= row.holds[0], named[row.name] <= row.holds[1])


def _rounding(steps: Mapping[str, Any], places: Places) -> list[Any]:
    """The ends of a REAL that is rounded to steps of time."""
    rows = []
    for name, symbol in steps.items():
        _, rest = name.split("!", 1)
        key, step = rest.rsplit("!", 1)
        low, high = places.spans[key]
        rows += [symbol >= math.floor(low / int(step))] if math.isfinite(low) else []
        rows += [symbol <= math.ceil(high / int(step))] if math.isfinite(high) else []
    return rows


def _ends(slots: tuple[Slot, ...], pre: Mapping[str, Any], network: Network) -> list[Any]:
    rows = [terms.Implies(terms.Not(pre[STARTED]), terms.Not(pre[SETTLED]))] if SETTLED in pre else []
    for slot in slots:
        rows += [pre[slot.key] >= int(slot.low)] if math.isfinite(slot.low) else []
        rows += [pre[slot.key] <= int(slot.high)] if math.isfinite(slot.high) else []
    for row in network.assignments:
        if isinstance(row.node, nodes.Ton):
            rows.append(terms.Implies(terms.Not(pre[f"state:{row.name}"]), pre[f"et:{row.name}"] == 0))
    return rows
