"""Two controllers side by side, with the same inputs in the same scans: equal for ever, or the shortest
parting.

Rule of this file: every output that both have is asked after as a requirement is, each for itself; what only
one of them has is listed and not compared. Two plans are put in a settled order first, so that the answer is
the same, mirrored, whichever is named first.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence

import attrs
from attrs import define, field, frozen

from steadfall.logic.build.stages import state_names
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.plan.model import ButtonCall, Demand, Plan
from steadfall.plan.revise.renames import Names, guessed
from steadfall.plan.write.whole import write
from steadfall.progress import SILENT, Progress
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
from steadfall.prove.compare.equal import (
    Shown,
    by_claims,
    by_correspondence,
    by_fixed_point,
    by_wording,
)
from steadfall.prove.compare.partings import (
    Apart,
    by_runs,
    by_spreading,
    partings,
    partings_as_found,
    search_partings,
)
from steadfall.prove.compare.side_by_side import (
    Pair,
    States,
    counted,
    doubled,
    hangs_on_counters,
    held,
    looked_at,
    under,
)
from steadfall.prove.decide.processes import AtTheLimit, Hands, Patience, hands
from steadfall.prove.solver.budget import Budget
from steadfall.roles import HELPER, Identity, Role, climb, let_go, of_plant, stage, started

TRIPPED = of_plant(Role.TRIPPED).name
EFFORT = 120_000_000  # units of the solver's work for the whole, see `prove.solver.budget`
BRIEF = 0.3  # s: after the limit a person waits no longer
HELD = 10_000_000  # for what is equal while something is held
QUICK = 6_000_000  # for what like state with like state shows before any run: a plan and its own text


@frozen
class How:
    """How hard to try, on how many processes beside this one, and for how many seconds at most."""

    effort: int = EFFORT
    processes: int = 0
    limit: float | None = None
    progress: Progress = SILENT

    @property
    def many(self) -> int:
        """How many processes: this one cannot be ended at a limit."""
        return self.processes if self.limit is None else max(1, self.processes)

    def patience(self) -> Patience:
        """How long to go on, from now."""
        return Patience(self.progress, math.inf if self.limit is None else time.monotonic() + self.limit)


def compare(plan: Plan, first: Network, second: Network, how: How = How()) -> Comparison:
    """Whether the outputs that both have are equal for ever; the plan says how scans and inputs usually
    are.
    """
    return _answer(Pair(plan, first, second, plan.scan.longest_ms), how)


def compare_plans(one: Plan, two: Plan, how: How = How(), names: Names | None = None) -> Comparison:
    """The same for two plans, their stages too; names that have changed are guessed where they are not
    given.
    """
    known = guessed(one, two) if names is None else names
    if write(one) > write(two):
        return mirrored(_plans(two, one, known.turned(), how))
    return _plans(one, two, known, how)


def _plans(one: Plan, two: Plan, names: Names, how: How) -> Comparison:
    usual = _usual(one, two, names)
    network = build(two)
    second = under(network, _signals(two, network.identities, names))
    pair = Pair(usual, build(one), second, usual.scan.longest_ms, _states(one, two, names))
    return attrs.evolve(_answer(pair, how), names=names)


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


def _signals(two: Plan, what: Mapping[str, Identity], names: Names) -> Callable[[str], str]:
    """What each signal of the second is called in the first; what is made of a stage goes by the stage."""
    stages = {row.words[1]: row.words[0] for row in names.rows if row.kind == "stage"}
    demands = [item.of for item in two.calls if isinstance(item, Demand)]
    starts = [item.start for item in two.calls if isinstance(item, ButtonCall)]
    made = {
        started(of, new).name: started(names.in_first(of), old).name
        for of in starts
        for new, old in stages.items()
    }
    made |= {let_go(new).name: let_go(old).name for new, old in stages.items()}
    made |= {
        f"{of}.allows_{new}": f"{names.in_first(of)}.allows_{old}"
        for of in demands
        for new, old in stages.items()
    }
    return lambda name: made.get(name) or _climb(name, what[name], names) or names.in_first(name)


def _climb(name: str, what: Identity, names: Names) -> str:
    """What belongs to a stage goes by the stage, which may have the name of a valve."""
    if what.served.role is not Role.CLIMB:
        return ""
    circuit, state = what.circuit, what.of
    new = climb(names.in_first(circuit), names.state_in_first(circuit, state)).name
    return new + name[len(climb(circuit, state).name) :]


def _states(one: Plan, two: Plan, names: Names) -> States:
    """The names of the states of every circuit that both have."""
    found: dict[str, tuple[Sequence[str], Sequence[str]]] = {}
    for circuit in two.circuits:
        own = names.in_first(circuit)
        if own in one.circuits:
            known = [names.state_in_first(circuit, state) for state in state_names(two.type_of(circuit))]
            found[stage(own)] = state_names(one.type_of(own)), known
    return found


def _answer(pair: Pair, how: How) -> Comparison:
    begin, work = time.monotonic(), _Work(pair, Budget(how.effort))
    try:
        with hands(how.many, how.patience()) as own:
            work.each(own)
            work.while_held(own)
    except AtTheLimit:
        work.shown_at_the_limit()
    ours, theirs = ({(row.name, row.type) for row in side.inputs} for side in (pair.first, pair.second))
    return Comparison(
        tuple(work.outputs()),
        tuple(name for name in pair.first.outputs if name not in pair.second.outputs),
        tuple(name for name in pair.second.outputs if name not in pair.first.outputs),
        tuple(row.name for row in pair.first.inputs if (row.name, row.type) not in theirs),
        tuple(row.name for row in pair.second.inputs if (row.name, row.type) not in ours),
        doubled=doubled(pair.first, pair.second),
        held=tuple(work.held),
        longest_ms=pair.longest_ms,
        seconds=time.monotonic() - begin,
    )


@define(eq=False)
class _Work:
    """A comparison while it is made: what is known by now."""

    pair: Pair
    budget: Budget
    equal: dict[str, tuple[str, bool]] = field(factory=dict)
    ways: dict[str, Apart] = field(factory=dict)
    apart: dict[str, Parting] = field(factory=dict)
    held: list[Held] = field(factory=list)

    def each(self, own: Hands) -> None:
        """Every output for itself: by its wording, by a quick proof, by runs, by proof, at last by search."""
        pair = self.pair
        self.equal |= by_wording(pair, own)
        plain = [name for name in self.open() if not hangs_on_counters(pair, name)]
        self.equal |= by_correspondence(pair, plain, self.budget.part(QUICK), own)
        self.equal |= self._counted(own)
        self.ways |= by_runs(pair, self.open(), own)
        self.equal |= by_correspondence(pair, self.open(), self.budget, own)
        self.ways |= by_spreading(pair, self.open(), own)
        self.equal |= by_claims(pair, self.open(), self.budget, own)
        if not self.ways:
            self.ways |= by_runs(pair, self.open(), own, more=True)
        for name in self.open():
            self.equal |= by_fixed_point(pair, name, self.budget, own)
        differing = [name for name in pair.asked if name not in self.equal]
        self.apart |= partings(pair, self.ways, own)
        search_partings(pair, self.apart, differing, self.budget, own)

    def _counted(self, own: Hands) -> Shown:
        """What hangs on counters: no solver follows a count, but where both count the same, and are written
        alike from there on, the counts are equal too.
        """
        names, pair, left = counted(self.pair), self.pair, self.open()
        if not names or not left:
            return {}
        one, two = (attrs.evolve(side, outputs=(*side.outputs, *names)) for side in (pair.first, pair.second))
        wider = Pair(pair.usual, one, two, pair.longest_ms)
        shown = {**self.equal, **by_correspondence(wider, names, self.budget.part(QUICK), own)}
        again = all(checked for _, checked in shown.values())
        found = by_wording(attrs.evolve(pair, proved=frozenset(shown) - pair.states.keys()), own)
        return {name: (how, checked and again) for name, (how, checked) in found.items() if name in left}

    def open(self) -> list[str]:
        """The outputs of which nothing is known."""
        return [name for name in self.pair.asked if name not in self.equal and name not in self.ways]

    def shown_at_the_limit(self) -> None:
        """The partings that runs have shown by now, as many as can be replayed in no time."""
        if not self.apart:
            over = time.monotonic() + BRIEF
            self.apart |= partings_as_found(self.pair, self.ways, lambda: time.monotonic() > over)

    def outputs(self) -> list[Output]:
        """What is known of each output."""
        return [
            _output(self.pair, name, self.equal.get(name), self.apart.get(name)) for name in self.pair.asked
        ]

    def while_held(self, own: Hands) -> None:
        """What differs, and is equal while switches at which only one looks stay as they are, or while
        nothing trips.
        """
        pair = self.pair
        differs = [row.name for row in self.outputs() if row.kind == VALVE and row.verdict == PARTS]
        calm = {TRIPPED: False} if TRIPPED in pair.first.types and TRIPPED in pair.second.types else {}
        usual = _of_one(pair)
        for signals in (usual, {name: not on for name, on in usual.items()}, calm):
            shown = self._shown_with(differs, signals, own) if differs and signals else {}
            if shown:
                differs = [name for name in differs if name not in shown]
                again = all(again for _, again in shown.values())
                self.held.append(Held(tuple(sorted(signals.items())), tuple(shown), again))

    def _shown_with(self, names: Sequence[str], signals: Mapping[str, bool], own: Hands) -> Shown:
        """Which of these outputs are equal with some signals held."""
        pair = self.pair
        first, second = (held(side, signals) for side in (pair.first, pair.second))
        with_ = Pair(pair.usual, first, second, pair.longest_ms, pair.states)
        found = {name: shown for name, shown in by_wording(with_, own).items() if name in names}
        left = [name for name in names if name not in found]
        runs = by_runs(with_, left, own, any_run=True)
        left = [name for name in left if name not in runs]
        return {**found, **by_correspondence(with_, left, self.budget.part(HELD), own)}


def _output(pair: Pair, name: str, shown: tuple[str, bool] | None, apart: Parting | None) -> Output:
    ours, theirs = (side.identities.get(name, HELPER) for side in (pair.first, pair.second))
    row = Output(name, STAGE if name in pair.states else VALVE, identity=ours, other=theirs)
    if shown:
        return attrs.evolve(row, verdict=EQUAL, engine=shown[0], rechecked=shown[1])
    return attrs.evolve(row, verdict=PARTS, engine=apart.engine, parting=apart) if apart else row


def _of_one(pair: Pair) -> Mapping[str, bool]:
    """The switches on which the outputs of only one of the two depend, each with its usual value; no limit
    switches.
    """
    ours, theirs = (looked_at(side, pair.both) for side in (pair.first, pair.second))
    types = pair.whole.types
    return {
        name: bool(pair.usual.inputs[name].normal)
        for name in sorted(ours ^ theirs)
        if types.get(name) is Type.BOOL and name in pair.usual.inputs and not pair.usual.inputs[name].measures
    }
