"""Two controllers side by side, with the same inputs in the same scans: equal for ever, or the shortest parting.

Rule of this file: the two networks stand in one, the second under names of its own; every output of both is asked
after as a requirement is. What only one of them has is listed and not compared.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from typing import Any

import attrs
import z3
from attrs import frozen

from steadfall.logic.forms import any_of, different
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Read, Type
from steadfall.logic.trace import Trace
from steadfall.plan.model import Plan
from steadfall.prove.alike import Alike, alike
from steadfall.prove.certificate import Certificate, script, text_of
from steadfall.prove.engines import bounded, recheck, spacer
from steadfall.prove.engines.drive import course, driver, run, scans_of
from steadfall.prove.system.cone import cone
from steadfall.prove.system.renamed import renamed
from steadfall.prove.system.replay import Scan, changes, expand, replay
from steadfall.prove.system.step import SETTLED, STARTED, Model, Slot, model

SECOND, PARTED = " (2nd)", "parted"
EQUAL, PARTS, UNKNOWN = "equal", "parts", "unknown"
CORRESPONDENCE = "correspondence"
SEEDS = range(36)
SOON = 6.0  # s, for a shorter parting than a run has shown


@frozen(eq=False)
class Comparison:
    """What is known of two controllers: equal for ever, or a run on which they part."""

    verdict: str
    outputs: tuple[str, ...]  # compared
    first_only: tuple[str, ...]
    second_only: tuple[str, ...]
    engine: str = ""
    seconds: float = 0.0
    trace: Trace | None = None
    scans: tuple[Scan, ...] = ()
    differing: tuple[str, ...] = ()  # outputs at the moment of parting
    rechecked: bool | None = None
    note: str = ""


def product(first: Network, second: Network) -> Network:
    """Both networks in one, with a signal that is true once an output differs."""
    names = {row.name: row.name + SECOND for row in second.assignments}
    known = {row.name for row in first.inputs}
    inputs = [*first.inputs, *(row for row in second.inputs if row.name not in known)]
    clash = {row.name for row in second.inputs} & {row.name for row in first.assignments}
    names |= {name: name + SECOND for name in clash}
    inputs = [
        Input(names.get(row.name, row.name), row.type, mark=row.mark) if row.name in clash else row for row in inputs
    ]
    own = {row.name for row in first.assignments}
    rows = [*first.assignments]
    rows += _second(second, names, alike(first, second))
    both = [name for name in first.outputs if name in second.outputs and name in own]
    for name in both:
        apart = different(Read(name, Type.BOOL), Read(name + SECOND, Type.BOOL))
        rows.append(Assignment(f"{name}:{PARTED}", Type.BOOL, apart, False))
    parts = any_of(Read(f"{name}:{PARTED}", Type.BOOL) for name in both)
    rows.append(Assignment(PARTED, Type.BOOL, parts, False))
    return Network(tuple(inputs), tuple(rows), ())


def _second(second: Network, names: Mapping[str, str], common: Alike) -> Iterable[Assignment]:
    """The rows of the second network; what the first has already is read there."""
    now = {**names, **common.twins}
    last = {name: name if name in common.same else new for name, new in names.items()}
    for row in second.assignments:
        twin = common.twins.get(row.name)
        node = renamed(row.node, now, last) if twin is None else Read(twin, row.type, mark=row.mark)
        yield attrs.evolve(row, name=names[row.name], node=node)


def compare(plan: Plan, first: Network, second: Network, seconds: float = 60.0) -> Comparison:
    """Whether the outputs that both have are equal for ever; the plan says how scans and inputs usually are."""
    begin = time.monotonic()
    both = tuple(name for name in first.outputs if name in second.outputs)
    blank = Comparison(
        UNKNOWN,
        both,
        tuple(name for name in first.outputs if name not in second.outputs),
        tuple(name for name in second.outputs if name not in first.outputs),
    )
    whole = product(first, second)
    found = _decide(plan, whole, begin + seconds, blank)
    return attrs.evolve(found, seconds=time.monotonic() - begin)


def _decide(plan: Plan, whole: Network, until: float, blank: Comparison) -> Comparison:
    longest = plan.scan.longest_ms
    shown = _by_runs(plan, whole)
    if shown is not None:
        seen = _parted(whole, shown, blank, "runs")
        if seen is not None:
            return _shorter(whole, seen, longest, min(until, time.monotonic() + SOON))
    part = model(cone(whole, [PARTED]), longest)
    goal = part.values[PARTED]
    if shown is None:
        proof = _equal(part, goal, until)
        if proof is not None:
            engine, invariant = proof
            again = recheck.holds(script(part, goal, Certificate(text_of(invariant))))
            return attrs.evolve(blank, verdict=EQUAL, engine=engine, rechecked=again)
    found = _search(whole, PARTED, longest, until, blank)
    return found or attrs.evolve(blank, note="neither equal for ever nor a parting was found in the time given")


def _search(whole: Network, goal: str, longest: int, until: float, blank: Comparison) -> Comparison | None:
    """The shortest parting, of one output or of any."""
    part = model(cone(whole, [goal]), longest)
    found, _ = bounded.search(part, part.values[goal], 200, until - time.monotonic())
    if found is None:
        return None
    steps = [(delay, {**switches, **readings}) for delay, switches, readings in found.steps]
    return _parted(whole, changes(expand(steps, longest)), blank, bounded.NAME)


def _shorter(whole: Network, seen: Comparison, longest: int, until: float) -> Comparison:
    """A shorter parting of the output that a run has shown to part, where one is found soon."""
    one = f"{seen.differing[0]}:{PARTED}"
    found = _search(whole, one, longest, until, attrs.evolve(seen, trace=None, scans=(), differing=()))
    return found or attrs.evolve(seen, note="found by a run; there may be a shorter one")


def _by_runs(plan: Plan, whole: Network) -> list[Scan] | None:
    """The shortest parting that some runs show."""
    one = driver(plan, whole)
    best: tuple[int, int] | None = None
    for seed in SEEDS:
        scan = run(one, course(one, seed), [PARTED])[0]
        if scan >= 0 and (best is None or scan < best[1]):
            best = seed, scan
    return None if best is None else scans_of(one, course(one, best[0]), best[1])


def _parted(whole: Network, scans: list[Scan], blank: Comparison, engine: str) -> Comparison | None:
    seen = replay(whole, scans, PARTED)
    if seen is None:
        return None
    end = seen.at_ms
    differing = tuple(name for name in blank.outputs if seen.trace.at(name, end) != seen.trace.at(name + SECOND, end))
    return attrs.evolve(blank, verdict=PARTS, engine=engine, trace=seen.trace, scans=seen.scans, differing=differing)


def _equal(part: Model, goal: Any, until: float) -> tuple[str, Any] | None:
    """What keeps the outputs equal: like state with like state, else what the fixed-point engine finds."""
    pairs = corresponding(part, until)
    solver = z3.SolverFor("QF_LIA")
    solver.add(part.ends, part.allowed, *pairs, goal)
    if solver.check() == z3.unsat:
        return CORRESPONDENCE, z3.And(pairs) if pairs else z3.BoolVal(True)
    left = until - time.monotonic()
    found = spacer.invariant(part, goal, left / 2) if left > 0 else None
    return None if found is None or found is False else (spacer.NAME, found)


def corresponding(part: Model, until: float) -> list[Any]:
    """Which parts of the second state always equal those of the same name in the first."""
    keys = {slot.key: slot for slot in part.slots}
    alive = [
        key
        for key, slot in keys.items()
        if key not in (STARTED, SETTLED) and key + SECOND in keys and slot.initial == keys[key + SECOND].initial
    ]
    while alive and time.monotonic() < until:
        solver = z3.SolverFor("QF_LIA")
        solver.add(part.ends, part.allowed, *(_like(keys[key], keys[key + SECOND], part.pre) for key in alive))
        after = {key: _like(keys[key], keys[key + SECOND], part.post) for key in alive}
        solver.add(z3.Not(z3.And(list(after.values()))))
        if solver.check() != z3.sat:
            return [_like(keys[key], keys[key + SECOND], part.pre) for key in alive]
        found = solver.model()
        alive = [key for key in alive if z3.is_true(found.eval(after[key], True))]
    return []


def _like(one: Slot, other: Slot, values: Mapping[str, Any]) -> Any:
    """Whether two parts of the state are equal; a clock that counts further than the other is, once that one stops."""
    equal, least = values[one.key] == values[other.key], min(one.high, other.high)
    if one.high == other.high or not one.key.startswith("age:"):
        return equal
    return z3.Or(equal, z3.And(values[one.key] >= int(least), values[other.key] >= int(least)))
