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

from attrs import evolve, field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import ZERO, Network
from steadfall.logic.nodes import Type
from steadfall.prove.solver import terms
from steadfall.prove.solver.space import Space
from steadfall.prove.system.bounds.intervals import Places
from steadfall.prove.system.bounds.ranges import ranges
from steadfall.prove.system.delays import Delays
from steadfall.prove.system.kept import SETTLED, STARTED, Part, elapsed, state
from steadfall.prove.system.meaning import Pass, least
from steadfall.prove.system.reals import Exact
from steadfall.prove.system.slots import Slot, slots_of
from steadfall.prove.system.unbounded import unbounded

CUT, OFF = "power_cut", "off_ms"  # inputs of a step: the power fails now, and is back after so long


@frozen(eq=False)
class Frame:
    """What a question about a network is put in, before its scan is worked out: state and ends."""

    network: Network
    longest_ms: int
    slots: tuple[Slot, ...]
    pre: Mapping[str, Any]
    ends: Any  # of the state, in symbols before the step
    space: Space
    cut: Any = field(default=None, kw_only=True)  # whether a step may be a power cut

    @property
    def state(self) -> list[Any]:
        """The state before a step, in the order of the slots."""
        return [self.pre[slot.key] for slot in self.slots]


@frozen(eq=False)
class Model(Frame):
    """A network as a transition system: state, inputs, what a step gives, and what it may be.

    `cut`: whether the step is a power cut, and how long it lasts.
    """

    post: Mapping[str, Any]
    dt: Any
    inputs: tuple[Any, ...]  # dt first
    named: Mapping[str, Any]  # BOOL, INT and TIME inputs by signal name
    allowed: Any  # which delay and inputs a step may have
    places: Places
    values: Mapping[str, Any]  # every BOOL, INT and TIME signal in the scan
    exact: bool = False  # measured values are real numbers: to find runs, not to prove

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


def frame(network: Network, longest_ms: int, *, power_cut: bool = False, single: bool = False) -> Frame:
    """What the checker needs of a system: all but what a scan does."""
    free = unbounded(network, ranges(network))
    return evolve(_frame(network, longest_ms, free, exact=False, single=single), cut=power_cut or None)


def _frame(network: Network, longest_ms: int, free: Set[str], *, exact: bool, single: bool) -> Frame:
    slots, space = slots_of(network, free, exact=exact, single=single), Space()
    pre = {slot.key: space.symbol(slot.key, slot.initial) for slot in slots}
    return Frame(network, longest_ms, slots, pre, space.all_of(_ends(slots, pre, network)), space)


def model(
    network: Network,
    longest_ms: int,
    *,
    power_cut: bool = False,
    exact: bool = False,
    single: bool = False,
) -> Model:
    """The transition system of a network whose scans are at most so far apart, with or without power cuts.

    `exact`: see `prove.system.reals`. `single`: no delay is longer than a scan; every run is a run of such
    steps, so it is enough to prove with.
    """
    free = unbounded(network, ranges(network))
    about = _frame(network, longest_ms, free, exact=exact, single=single)
    slots, space, pre = about.slots, about.space, about.pre
    held = {slot.key: pre[slot.key] for slot in slots if slot.part}
    named = {
        row.name: space.symbol(f"input:{row.name}", ZERO[row.type])
        for row in network.inputs
        if exact or row.type is not Type.REAL
    }
    dt, places = space.whole("dt"), Places(space)
    steps: dict[tuple[str, int], Any] = {}
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
    made = Model(
        network,
        longest_ms,
        slots,
        pre,
        about.ends,
        space,
        post,
        dt,
        (dt, *named.values(), *places.variables(), *steps.values()),
        named,
        terms.And(_delay(pre[STARTED], longer, dt, longest_ms), *given),
        places,
        {name: term for name, term in run.values.items() if terms.is_expr(term)},
        exact=exact,
    )
    return _with_cuts(made) if power_cut else made


def _with_cuts(made: Model) -> Model:
    """A model in which a step may also be a power cut."""
    space, pre, post = made.space, made.pre, made.post
    cut, off = space.boolean(CUT), space.whole(OFF)
    values = {
        name: terms.And(term, terms.Not(cut)) if terms.is_bool(term) else term
        for name, term in made.values.items()
    }
    return evolve(
        made,
        inputs=(*made.inputs, cut, off),
        post={
            slot.key: terms.If(cut, _after_cut(slot, pre, off, space), post[slot.key]) for slot in made.slots
        },
        allowed=terms.If(cut, terms.And(pre[STARTED], made.dt == 0, off >= 0), made.allowed),
        values=values,
        cut=(cut, off),
    )


def _after_cut(slot: Slot, pre: Mapping[str, Any], off: Any, space: Space) -> Any:
    """What a power cut leaves: the controller as at its start but for what it retains, what watches it as it
    was, its ages so much older.
    """
    if slot.spared:
        before = pre[slot.key]
        later = before + off
        return (
            before
            if slot.part is not Part.AGE
            else least(later, int(slot.high))
            if math.isfinite(slot.high)
            else later
        )
    return space.value(slot.initial)


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


def _rounding(steps: Mapping[tuple[str, int], Any], places: Places) -> list[Any]:
    """The ends of a REAL that is rounded to steps of time."""
    rows = []
    for (key, step), symbol in steps.items():
        low, high = places.spans[key]
        rows += [symbol >= math.floor(low / step)] if math.isfinite(low) else []
        rows += [symbol <= math.ceil(high / step)] if math.isfinite(high) else []
    return rows


def _ends(slots: tuple[Slot, ...], pre: Mapping[str, Any], network: Network) -> list[Any]:
    rows = [terms.Implies(terms.Not(pre[STARTED]), terms.Not(pre[SETTLED]))] if SETTLED in pre else []
    for slot in slots:
        rows += [pre[slot.key] >= int(slot.low)] if math.isfinite(slot.low) else []
        rows += [pre[slot.key] <= int(slot.high)] if math.isfinite(slot.high) else []
    for row in network.assignments:
        if isinstance(row.node, nodes.Ton):
            rows.append(terms.Implies(terms.Not(pre[state(row.name)]), pre[elapsed(row.name)] == 0))
    return rows
