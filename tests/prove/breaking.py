"""What becomes of a controller with one thing wrong: a requirement of its plan is broken, no output differs,
or neither is found.

Rule of this file: the cheapest way of finding out comes first, and the first answer counts. Only requirements
that depend on the wrong signal are asked after. A run counts where the interpreter replays it; that no output
differs is a proof. All effort is counted, never timed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from functools import partial

from attrs import evolve, field, frozen

from steadfall.logic.build.whole import build
from steadfall.logic.cone import cone
from steadfall.logic.forms import any_of
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Constant, Node, Read, Since, Type
from steadfall.logic.types import walk
from steadfall.plan.model import Plan
from steadfall.prove.compare.equal import by_correspondence, by_wording
from steadfall.prove.compare.side_by_side import Pair
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.ways import onward_from_runs
from steadfall.prove.engines import bounded
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs import far
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.replay import expand, replay
from steadfall.prove.system.step import model
from steadfall.roles import observer
from steadfall.runs.run import Run
from tests.prove.unseen import never_differs

REFUTED, SAME, MISSED = "refuted", "no output differs", "missed"
FEW, MANY = range(8), range(8, 40)  # seeds of made-up runs: before it is asked what is equal, and after
LITTLE, MUCH = 200_000, 1_200_000  # steps of runs that jump: before a search by steps, and after
EQUAL = 20_000_000  # units of work to prove that outputs are equal
EACH, ONWARD = (
    2_000_000,
    10_000_000,
)  # of searches by the solver for a requirement, from power-up and from runs
NEAREST = 4  # requirements of which it is asked
STEPS = 40  # of such a search
ANY = observer("any requirement is broken")

Change = Callable[[Network], Network]
Broken = Iterator[tuple[Required, Run]]


@frozen
class Fate:
    """What became of it: the requirement that a run breaks, and when."""

    fate: str
    by: str = ""
    after_ms: int = 0


@frozen(eq=False)
class Bed:
    """A plan with its controller as it should be, and the requirements over it, to try faults on."""

    plan: Plan
    right: Network = field(init=False)
    watched: Watched = field(init=False)
    behind: Mapping[str, frozenset[str]] = field(init=False)  # what each requirement depends on
    says: Mapping[str, frozenset[float]] = field(init=False)  # the numbers that its own rows name

    @right.default
    def _right(self) -> Network:
        return build(self.plan)

    @watched.default
    def _watched(self) -> Watched:
        return watched(self.plan)

    @behind.default
    def _behind(self) -> Mapping[str, frozenset[str]]:
        network = self.watched.network
        cones = {row.name: cone(network, [row.bad]) for row in self.watched.required}
        return {name: frozenset(one.name for one in part.assignments) for name, part in cones.items()}

    @says.default
    def _says(self) -> Mapping[str, frozenset[float]]:
        own = {row.name: row for row in self.watched.network.assignments}
        for name in self.watched.controller:
            own.pop(name, None)
        return {
            name: frozenset(value for one in rows if one in own for value in _numbers(own[one].node))
            for name, rows in self.behind.items()
        }

    def fate(self, change: Change, signals: Iterable[str], value: float | None = None) -> Fate:
        """What becomes of the controller with a change to the rows of some signals.

        `value`: a number that is changed; what names it is asked after first.
        """
        of, names = evolve(self.watched, network=change(self.watched.network)), set(signals)
        near = self._near(names, value)
        if near and (found := _first(of, _by_short_runs(of, near, FEW))):
            return found
        if self._same(change, sorted(names)):
            return Fate(SAME)
        for way in LATER if near else ():
            if found := _first(of, way(of, near)):
                return found
        return Fate(MISSED)

    def _near(self, names: Set[str], value: float | None) -> list[Required]:
        """The requirements that depend on some signals, those that name a number first, then by how much."""

        def far_off(row: Required) -> tuple[bool, int]:
            return value not in self.says[row.name], len(self.behind[row.name])

        return sorted((row for row in self.watched.required if names & self.behind[row.name]), key=far_off)

    def _same(self, change: Change, names: Sequence[str]) -> bool:
        """Whether it is proved that nothing differs: no output, or, of a single row, not even that."""
        wrong = change(self.right)
        if _equal(self.plan, self.right, wrong):
            return True
        rows = {row.name: row.node for row in wrong.assignments}
        return len(names) == 1 and never_differs(self.watched, names[0], rows[names[0]])


def _numbers(node: Node) -> Iterator[float]:
    """The times and measured values that a node names."""
    for part in walk(node):
        if isinstance(part, Constant) and part.type in (Type.TIME, Type.REAL):
            yield float(part.value)
        elif isinstance(part, Since):
            yield float(part.limit_ms)


def _first(of: Watched, broken: Broken) -> Fate | None:
    """The first of some violations that the interpreter sees, and when it is."""
    for row, run in broken:
        found = replay(cone(of.network, [row.bad]), run, row.bad)
        if found is not None:
            return Fate(REFUTED, row.name, found.at_ms)
    return None


def _by_short_runs(of: Watched, near: Sequence[Required], seeds: Iterable[int]) -> Broken:
    runs, names = rig(of.plan, of.network), [row.bad for row in near]
    known = _like(runs.habits, runs)
    for seed in seeds:
        run = stimuli(known, seed)
        for row, scan in zip(near, runs.fast.first(run, names), strict=True):
            if scan >= 0:
                yield row, runs.fast.closed(run.part(0, scan + 1))


_RIGS: dict[str, Rig] = {}


def _like(habits: str, one: Rig) -> Rig:
    """The first that was made of all whose inputs are the same: its runs need not be made anew."""
    return _RIGS.setdefault(habits, one)


def _by_far_runs(of: Watched, near: Sequence[Required], steps: int) -> Broken:
    names = [row.bad for row in near]
    alarm = Assignment(ANY.name, Type.BOOL, any_of(Read(name, Type.BOOL) for name in names), False)
    part = cone(evolve(of.network, assignments=(*of.network.assignments, alarm)), [ANY.name])
    single = model(part, of.plan.scan.longest_ms, single=True)
    one = rig(of.plan, part)
    way = far.far(one, single, ANY.name, power_cut=False, steps=steps)
    if way is not None:
        scans = one.fast.first(way, names)
        yield from ((row, way) for row, scan in zip(near, scans, strict=True) if scan >= 0)


def _by_steps(of: Watched, near: Sequence[Required]) -> Broken:
    """By the solver, step by step."""
    for row in near[:NEAREST]:
        part = of.searched(cone(of.network, [row.bad]))
        way, _ = bounded.search(part, part.values[row.bad], STEPS, Budget(EACH))
        if way is not None:
            yield row, expand(way.steps, of.plan.scan.longest_ms)


def _from_runs(of: Watched, near: Sequence[Required]) -> Broken:
    """By the solver, from where runs have come."""
    for row in near[:NEAREST]:
        run = onward_from_runs(of, row.bad, Budget(ONWARD))
        if run is not None:
            yield row, run


LATER: tuple[Callable[[Watched, Sequence[Required]], Broken], ...] = (
    partial(_by_short_runs, seeds=MANY),
    partial(_by_far_runs, steps=LITTLE),
    _by_steps,
    _from_runs,
    partial(_by_far_runs, steps=MUCH),
)


def _equal(plan: Plan, right: Network, wrong: Network) -> bool:
    """Whether all outputs are proved equal for ever; no runs are made to tell them apart."""
    pair = Pair(plan, right, wrong, plan.scan.longest_ms)
    equal = dict(by_wording(pair, Hands()))
    left = [name for name in pair.asked if name not in equal]
    equal |= by_correspondence(pair, left, Budget(EQUAL), Hands())
    return all(name in equal and equal[name][1] for name in pair.asked)
