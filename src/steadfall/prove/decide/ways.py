"""Ways to a goal, as the interpreter sees them: of a violation the quickest of few steps, with no more than
it takes.

Rule of this file: what the interpreter does not see is no way.
"""

from __future__ import annotations

from attrs import evolve

from steadfall.logic.cone import cone
from steadfall.logic.network import Network
from steadfall.prove.engines import bounded, onward
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs import far
from steadfall.prove.runs.rig import rig
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.replay import Replay, expand, replay
from steadfall.prove.system.step import Model, model
from steadfall.prove.system.usual import usual
from steadfall.runs.minimise import SCANS, Goal, fewer_changes
from steadfall.runs.player import player
from steadfall.runs.run import Run, turns

QUICKER = 2_000_000  # units of work at most, for a violation of as few steps that takes less time
DEEPEST = 400  # steps of the bounded search; its budget ends it first
MANY_TIMES = 40  # that a long run is played to make it smaller
CUT_SCANS = 10_000  # that are played to make a run with power cuts smaller: the interpreter is slower


def minimised(watched: Watched, required: Required, run: Run) -> Replay | None:
    """The same violation with no more happening than it takes, as the interpreter sees it; else as it was."""
    part = cone(watched.network, [required.bad])
    goal = Goal(player(part, run), required.bad, CUT_SCANS if run.cuts else max(SCANS, MANY_TIMES * len(run)))
    ordinary, own = usual(watched.plan), {row.name for row in watched.network.inputs}
    fixed = {row.name for row in watched.network.inputs if row.identity.watches}
    small = fewer_changes(goal, run, ordinary, fixed)
    others = [name for name in ordinary if name in own - {row.name for row in part.inputs}]
    if 0 not in run.cuts:
        first = {name: small.inputs.get(name, turns([(0, ordinary[name])])) for name in others}
        small = evolve(small, inputs={**first, **small.inputs})
    return replay(part, small, required.bad) or replay(part, run, required.bad)


def shortest(
    watched: Watched, part: Model, goal: str, budget: Budget, deepest: int = DEEPEST
) -> tuple[Run | None, str]:
    """The shortest way to a goal, as the interpreter sees it; of a violation the quickest, and what it takes
    of it.
    """
    broken = next((row for row in watched.required if row.bad == goal), None)
    found, depth = bounded.search(part, part.values[goal], deepest, budget, shorten=QUICKER if broken else 0)
    if found is None:
        within = f", and nothing breaks it within {depth} step{'' if depth == 1 else 's'}" if depth else ""
        return None, f"no proof within the effort given{within}; --effort gives more"
    run = expand(found.steps, part.longest_ms)
    seen = minimised(watched, broken, run) if broken is not None else replay(part.network, run, goal)
    if seen is None:
        return None, "the solver's way to break it is none on the controller (it rounds what it measures)"
    return seen.run, ""


def far_on(watched: Watched, goal: str, steps: int = far.STEPS) -> Run | None:
    """A way to a goal behind long stays in a stage."""
    part = cone(watched.network, [goal])
    cuts = watched.faults.power_cut
    single = model(part, watched.plan.scan.longest_ms, power_cut=cuts, single=True)
    run = far.far(rig(watched.plan, part), single, goal, power_cut=cuts, steps=steps)
    return _as_seen(part, run, goal)


def onward_from_runs(watched: Watched, goal: str, budget: Budget) -> Run | None:
    """A way to a goal from where runs have come."""
    part = cone(watched.network, [goal])
    model = watched.searched(part)
    run = onward.search(model, model.values[goal], rig(watched.plan, part), budget)
    return _as_seen(part, run, goal)


def _as_seen(part: Network, run: Run | None, goal: str) -> Run | None:
    """A run as the interpreter sees it, nothing said twice: so it is stored, and is made again."""
    seen = None if run is None else replay(part, run, goal)
    return None if seen is None else seen.run
