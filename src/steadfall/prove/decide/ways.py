"""Ways to a goal, as the interpreter sees them: of a violation the quickest of few steps, with no more than
it takes.

Rule of this file: what the interpreter does not see is no way.
"""

from __future__ import annotations

from steadfall.prove.decide.result import Way
from steadfall.prove.engines import bounded, onward
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.still import calm
from steadfall.prove.runs.stimuli import driver
from steadfall.prove.system.cone import cone
from steadfall.prove.system.replay import Replay, Scan, changes, expand, replay
from steadfall.prove.system.step import CUT, Model
from steadfall.prove.system.usual import usual

SHORTER = (
    1.0  # s at most, for a violation of as few steps that takes less time; again, for one with less in it
)
DEEPEST = 400  # steps of the bounded search; time ends it first


def calmed(watched: Watched, required: Required, seen: Replay) -> Replay:
    """The same violation with no more happening than it takes, as the interpreter sees it; else as it was."""
    ordinary, own = usual(watched.plan), {row.name for row in watched.network.inputs}
    part = cone(watched.network, [required.bad])
    scans = calm(part, seen.scans, required.bad, ordinary, SHORTER)
    others = {
        name: value for name, value in ordinary.items() if name in own - {row.name for row in part.inputs}
    }
    if scans and CUT not in scans[0][1]:
        scans = ((scans[0][0], {**others, **scans[0][1]}), *scans[1:])
    return replay(watched.network, scans, required.bad) or seen


def shortest(
    watched: Watched, part: Model, goal: str, seconds: float, deepest: int = DEEPEST
) -> tuple[Way | None, str]:
    """The shortest way to a goal, as the interpreter sees it; of a violation the quickest, and what it takes
    of it.
    """
    broken = next((row for row in watched.required if row.bad == goal), None)
    found, depth = bounded.search(
        part, part.values[goal], deepest, seconds, shorten=SHORTER if broken else 0.0
    )
    if found is None:
        within = f", and nothing breaks it within {depth} step{'' if depth == 1 else 's'}" if depth else ""
        return None, f"no proof in the time given{within}; --limit gives more"
    steps = [(delay, {**whole, **readings}) for delay, whole, readings in found.steps]
    seen = replay(watched.network, changes(expand(steps, part.longest_ms)), goal)
    if seen is None:
        return None, "the solver's way to break it is none on the controller (it rounds what it measures)"
    if broken is not None:
        seen = calmed(watched, broken, seen)
    return Way(seen.scans, seen.at_ms), ""


def onward_from_runs(watched: Watched, goal: str, seconds: float) -> tuple[Scan, ...] | None:
    """A way to a goal from where runs have come."""
    part = cone(watched.network, [goal])
    model = watched.searched(part)
    scans = onward.search(model, model.values[goal], driver(watched.plan, part), seconds)
    return None if scans is None or replay(part, scans, goal) is None else scans
