"""The runs on which outputs of two controllers part.

Rule of this file: what counts is what the interpreter sees. Runs on made-up inputs come first and are
made smaller; then a search for one with the fewest steps, while there is work left for it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import attrs

from steadfall.logic.cone import cone
from steadfall.prove.compare import days
from steadfall.prove.compare.compared import SECOND, Parting
from steadfall.prove.compare.side_by_side import Pair, parted
from steadfall.prove.compare.spreading import spreading
from steadfall.prove.decide.processes import Hands
from steadfall.prove.engines import bounded
from steadfall.prove.runs.rig import Rig
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.reals import works_out
from steadfall.prove.system.replay import Replay, expand, replay
from steadfall.prove.system.step import model
from steadfall.runs.minimise import Goal, fewer_scans
from steadfall.runs.run import Run
from steadfall.trace.trace import Trace

RUNS = "runs"
SOON, PART = 8_000_000, 0.1  # for shorter partings than runs have shown: units at most, and of what is left
REST = 0.25  # of the work that is left, for outputs of which nothing is known where others are known to part
DEEPEST = 200  # steps of a search
SHORTEN = 1_000_000  # units of work, for the least time among ways of as few steps


@attrs.frozen(eq=False)
class Apart:
    """A run on a rig, and the scan in which an output parts."""

    of: Rig
    run: Run
    last: int

    @property
    def at_ms(self) -> int:
        """When that scan is."""
        return int(self.run.times_ms[self.last])


ByRuns = Mapping[str, Apart]


def by_runs(
    pair: Pair, names: Sequence[str], own: Hands, *, more: bool = False, any_run: bool = False
) -> ByRuns:
    """For each of these outputs that parts on some run, the earliest, as it was found.

    `more`: on many runs besides, until each has parted; `any_run`: only until each has parted.
    """
    found: ByRuns = own.one(_by_runs, pair, (names, more, any_run)) if names else {}
    return found


def _by_runs(pair: Pair, given: tuple[Sequence[str], bool, bool]) -> ByRuns:
    (names, more, any_run), best = given, dict[str, Apart]()
    for of, run in days.more(pair) if more else days.first(pair):
        _take(of, run, names, best)
        if (more or any_run) and len(best) == len(names):
            break
    return best


def by_spreading(pair: Pair, names: Sequence[str], own: Hands) -> ByRuns:
    """The same by runs that jump, behind long stays in a stage, and go on from where anything differs."""
    found: ByRuns = own.one(_by_spreading, pair, names) if names else {}
    return found


def _by_spreading(pair: Pair, names: Sequence[str]) -> ByRuns:
    best = dict[str, Apart]()
    for of, run in spreading(pair, names):
        _take(of, run, names, best)
    return best


def _take(of: Rig, run: Run, names: Sequence[str], best: dict[str, Apart]) -> None:
    """Keeps this run for each output that parts on it no later than on the run that is known; a rig of some
    outputs knows nothing of others.
    """
    own = [name for name in names if parted(name) in of.types]
    for name, last in zip(own, of.fast.first(run, [parted(name) for name in own]), strict=True):
        way = Apart(of, run, last)
        if last >= 0 and (name not in best or way.at_ms <= best[name].at_ms):
            best[name] = way


def partings(pair: Pair, ways: ByRuns, own: Hands) -> dict[str, Parting]:
    """The partings of runs, shortened, as the interpreter sees them."""
    found: dict[str, Parting] = own.one(_partings, pair, ways) if ways else {}
    return found


def _partings(pair: Pair, ways: ByRuns) -> dict[str, Parting]:
    return _replayed(pair, _plain(ways))


def partings_as_found(pair: Pair, ways: ByRuns, until: Callable[[], bool]) -> dict[str, Parting]:
    """The same as they were found, the earliest first, until that has taken long enough."""
    found = dict[str, Parting]()
    for name in sorted(ways, key=lambda name: ways[name].at_ms):
        if until():
            break
        found |= _replayed(pair, {name: ways[name]})
    return found


def search_partings(
    pair: Pair, found: dict[str, Parting], names: Sequence[str], budget: Budget, own: Hands
) -> None:
    """Searches for a shorter parting of each of these outputs, or for one at all, and puts it among those
    found.
    """
    soon = budget.part(min(SOON, PART * budget.left))
    rest = budget.part(REST * budget.left) if found else budget
    valves = [name for name in names if name in pair.both]
    for name in sorted(valves, key=lambda name: found[name].at_ms if name in found else math.inf):
        purse = soon if name in found else rest
        if not purse.empty:
            other, spent = own.one(searched, pair, (name, purse.left))
            purse.spend(spent)
            keep(found, name, other)


def keep(found: dict[str, Parting], name: str, other: Parting | None) -> None:
    """A parting that is earlier than what is known, of this output and of the others that differ in it.

    One that is as early says that the known one has the fewest steps, where it has no more scans.
    """
    if other is None:
        return
    known = found.get(name)
    if known is None or other.at_ms < known.at_ms:
        found[name] = other
    elif other.at_ms == known.at_ms and len(known.run) <= len(other.run):
        found[name] = attrs.evolve(known, fewest=known.fewest or other.fewest)
    for also in other.differing:
        if also not in found or other.at_ms < found[also].at_ms:
            found[also] = attrs.evolve(other, fewest=False)


def _plain(ways: ByRuns) -> ByRuns:
    """The runs without what they do not need; the longest first, since what comes earlier is often on it."""
    best = dict(ways)
    done = list[Run]()
    for name in sorted(ways, key=lambda name: (-ways[name].at_ms, name)):
        if not any(best[name].run is one for one in done):
            best[name] = _smaller(name, best[name])
            _take(best[name].of, best[name].run, list(best), best)
            done.append(best[name].run)
    return best


def _smaller(name: str, way: Apart) -> Apart:
    """The run with fewer scans and changes, switches as usual at its start."""
    of = way.of
    switches = (row.name for row in of.network.inputs if row.name not in of.choices)
    ordinary = {name: of.favoured.get(name, 0.0) for name in switches}
    run = fewer_scans(Goal(of.fast, parted(name)), way.run.part(0, way.last + 1), of.longest_ms, ordinary)
    return Apart(of, run, len(run) - 1)


def _replayed(pair: Pair, ways: ByRuns) -> dict[str, Parting]:
    """Each parting as the interpreter sees it; outputs that part on one run share it."""
    found = dict[str, Parting]()
    shared: dict[int, list[str]] = {}
    for name, way in ways.items():
        shared.setdefault(id(way.run), []).append(name)
    for names in shared.values():
        last = max(names, key=lambda name: ways[name].last)
        longest = ways[last]
        run = longest.of.fast.closed(longest.run.part(0, longest.last + 1))
        seen = replay(pair.whole, run, parted(last))
        if seen is not None:
            found |= {name: one for name in names if (one := _up_to(pair, name, seen, ways[name]))}
    return found


def _up_to(pair: Pair, name: str, seen: Replay, way: Apart) -> Parting | None:
    """The run up to where this output parts, if it does there."""
    apart = _differing(pair, seen.trace, way.at_ms)
    if name not in apart:
        return None
    return Parting(seen.trace.slice(0, way.at_ms), seen.run.part(0, way.last + 1), apart, RUNS, fewest=False)


def searched(pair: Pair, given: tuple[str, int]) -> tuple[Parting | None, int]:
    """A parting with the fewest steps there are, or None where the budget is spent before; and the units
    spent.
    """
    name, most = given
    budget = Budget(most)
    return _searched(pair, name, budget), most - budget.left


def _searched(pair: Pair, name: str, budget: Budget) -> Parting | None:
    """The first way that the interpreter goes too: of the measured values' places, else of values kept as
    real numbers, where values that are all but equal are left out.
    """
    part = cone(pair.whole, [parted(name)])
    for exact in (False, True) if works_out(part) else (False,):
        one = model(part, pair.longest_ms, exact=exact)
        way, _ = bounded.search(one, one.values[parted(name)], DEEPEST, budget, shorten=SHORTEN)
        seen = None if way is None else replay(pair.whole, expand(way.steps, pair.longest_ms), parted(name))
        if seen is not None:
            apart = _differing(pair, seen.trace, seen.at_ms)
            return Parting(seen.trace, seen.run, apart, bounded.NAME, fewest=not exact)
    return None


def _differing(pair: Pair, trace: Trace, at_ms: int) -> tuple[str, ...]:
    """All that differs at a moment; a stage by its name."""
    sides = ((name, trace.at(name, at_ms), trace.at(name + SECOND, at_ms)) for name in pair.asked)
    return tuple(name for name, one, two in sides if _differs(pair, name, one, two))


def _differs(pair: Pair, name: str, one: int, two: int) -> bool:
    first, second = pair.states.get(name, ((), ()))
    return first[one] != second[two] if first else one != two
