"""Two controllers side by side, with the same inputs in the same scans: equal for ever, or the shortest
parting.

Rule of this file: every output that both have is asked after as a requirement is, each for itself; what only
one of them has is listed and not compared. Two plans are put in a settled order first, so that the answer is
the same, mirrored, whichever is named first.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence

import attrs

from steadfall.logic.build.guards import word
from steadfall.logic.build.stages import state_names
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.plan.model import Demand, Plan
from steadfall.plan.revise.renames import Names, guessed
from steadfall.plan.write.whole import write
from steadfall.prove.compare.compared import (
    EQUAL,
    PARTS,
    STAGE,
    VALVE,
    Comparison,
    Held,
    Output,
    Parting,
    mirrored,
)
from steadfall.prove.compare.equal import Shown, by_correspondence, by_fixed_point, by_wording
from steadfall.prove.compare.partings import Apart, by_runs, partings
from steadfall.prove.compare.side_by_side import Pair, States, doubled, held, looked_at, under
from steadfall.roles import HELPER, Role, of_plant, stage

TRIPPED = of_plant(Role.TRIPPED).name
HELD = 5.0  # s, for what is equal while something is held


def compare(plan: Plan, first: Network, second: Network, seconds: float = 60.0) -> Comparison:
    """Whether the outputs that both have are equal for ever; the plan says how scans and inputs usually
    are.
    """
    return _answer(Pair(plan, first, second, plan.scan.longest_ms), seconds)


def compare_plans(one: Plan, two: Plan, seconds: float = 60.0, names: Names | None = None) -> Comparison:
    """The same for two plans, their stages too; names that have changed are guessed where they are not
    given.
    """
    known = guessed(one, two) if names is None else names
    if write(one) > write(two):
        return mirrored(_plans(two, one, known.turned(), seconds))
    return _plans(one, two, known, seconds)


def _plans(one: Plan, two: Plan, names: Names, seconds: float) -> Comparison:
    usual = _usual(one, two, names)
    second = under(build(two), _signals(two, names))
    pair = Pair(usual, build(one), second, usual.scan.longest_ms, _states(one, two, names))
    return attrs.evolve(_answer(pair, seconds), names=names)


def _usual(one: Plan, two: Plan, names: Names) -> Plan:
    """How scans and the inputs of both usually are, in the names of the first; the longer of the longest
    scans.
    """
    inputs = {
        names.in_first(name): attrs.evolve(item, measures=item.measures and names.in_first(item.measures))
        for name, item in two.inputs.items()
    }
    longest = max(one.scan.longest_ms, two.scan.longest_ms)
    return attrs.evolve(
        one,
        scan=attrs.evolve(one.scan, longest_ms=longest),
        inputs={**inputs, **one.inputs},
        calls=(*one.calls, *two.calls),
        ramps={**two.ramps, **one.ramps},
    )


def _signals(two: Plan, names: Names) -> Callable[[str], str]:
    """What each signal of the second is called in the first; what is made of a title goes by the title."""
    titles = {f"{row.kind}.{word(row.second)}": f"{row.kind}.{word(row.first)}" for row in names.rows}
    stages = {row.words[1]: row.words[0] for row in names.rows if row.kind == "stage"}
    demands = [item.of for item in two.calls if isinstance(item, Demand)]
    titles |= {
        f"{of}.allows_{new}": f"{names.in_first(of)}.allows_{old}"
        for of in demands
        for new, old in stages.items()
    }
    return lambda name: titles.get(name) or names.in_first(name)


def _states(one: Plan, two: Plan, names: Names) -> States:
    """The names of the states of every circuit that both have."""
    found: dict[str, tuple[Sequence[str], Sequence[str]]] = {}
    for circuit in two.circuits:
        own = names.in_first(circuit)
        if own in one.circuits:
            known = [names.state_in_first(circuit, state) for state in state_names(two.type_of(circuit))]
            found[stage(own)] = state_names(one.type_of(own)), known
    return found


def _answer(pair: Pair, seconds: float) -> Comparison:
    begin = time.monotonic()
    each = _each(pair, begin + seconds)
    ours, theirs = ({(row.name, row.type) for row in side.inputs} for side in (pair.first, pair.second))
    return Comparison(
        tuple(each),
        tuple(name for name in pair.first.outputs if name not in pair.both),
        tuple(name for name in pair.second.outputs if name not in pair.both),
        tuple(row.name for row in pair.first.inputs if (row.name, row.type) not in theirs),
        tuple(row.name for row in pair.second.inputs if (row.name, row.type) not in ours),
        doubled=doubled(pair.first, pair.second),
        held=tuple(_held(pair, each, begin + seconds)),
        longest_ms=pair.longest_ms,
        seconds=time.monotonic() - begin,
    )


def _each(pair: Pair, until: float) -> list[Output]:
    """Every output for itself: by its wording, by runs, then by proof, at last by search."""
    equal, ways = dict(by_wording(pair)), dict[str, Apart]()

    def open_ones() -> list[str]:
        return [name for name in pair.asked if name not in equal and name not in ways]

    ways |= by_runs(pair, open_ones())
    equal |= by_correspondence(pair, open_ones(), until)
    ways |= by_runs(pair, open_ones(), more=True)
    equal |= by_fixed_point(pair, open_ones(), until)
    apart = partings(pair, ways, [name for name in pair.asked if name not in equal], until)
    return [_output(pair, name, equal.get(name), apart.get(name)) for name in pair.asked]


def _output(pair: Pair, name: str, shown: tuple[str, bool] | None, apart: Parting | None) -> Output:
    ours, theirs = (side.identities.get(name, HELPER) for side in (pair.first, pair.second))
    row = Output(name, STAGE if name in pair.states else VALVE, identity=ours, other=theirs)
    if shown:
        return attrs.evolve(row, verdict=EQUAL, engine=shown[0], rechecked=shown[1])
    return attrs.evolve(row, verdict=PARTS, engine=apart.engine, parting=apart) if apart else row


def _held(pair: Pair, each: Sequence[Output], until: float) -> Iterator[Held]:
    """What parts, and is equal while switches at which only one looks stay as they are, or while nothing
    trips.
    """
    apart = [row.name for row in each if row.kind == VALVE and row.verdict == PARTS]
    calm = {TRIPPED: False} if TRIPPED in pair.first.types and TRIPPED in pair.second.types else {}
    usual = _of_one(pair)
    for signals in (usual, {name: not on for name, on in usual.items()}, calm):
        shown = _shown_with(pair, apart, signals, until) if apart and signals else {}
        if shown:
            apart = [name for name in apart if name not in shown]
            yield Held(
                tuple(sorted(signals.items())), tuple(shown), all(again for _, again in shown.values())
            )


def _shown_with(pair: Pair, names: Sequence[str], signals: Mapping[str, bool], until: float) -> Shown:
    """Which of these outputs are equal with some signals held."""
    with_ = Pair(
        pair.usual, held(pair.first, signals), held(pair.second, signals), pair.longest_ms, pair.states
    )
    found = {name: shown for name, shown in by_wording(with_).items() if name in names}
    left = [name for name in names if name not in found]
    runs = by_runs(with_, left, any_run=True)
    left = [name for name in left if name not in runs]
    return {**found, **by_correspondence(with_, left, min(until, time.monotonic() + HELD))}


def _of_one(pair: Pair) -> Mapping[str, bool]:
    """The switches on which the outputs of only one of the two depend, each with its usual value; no limit
    switches.
    """
    ours, theirs = (looked_at(side, pair.both) for side in (pair.first, pair.second))
    types = pair.whole.types
    return {
        name: bool(pair.usual.inputs[name].normal)
        for name in ours ^ theirs
        if types.get(name) is Type.BOOL and name in pair.usual.inputs and not pair.usual.inputs[name].measures
    }
