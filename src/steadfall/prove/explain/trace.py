"""A verdict's violation as a trace of the whole controller, and the lines of the plan that took part.

Rule of this file: it is run by the interpreter, so what is drawn is what the controller does.
"""

from __future__ import annotations

from steadfall.logic.cone import cone
from steadfall.prove.decide.result import Verdict
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.system.replay import Replay, replay
from steadfall.roles import Role
from steadfall.source import Mark
from steadfall.trace.trace import Trace


def run_of(watched: Watched, verdict: Verdict) -> Replay | None:
    """The run up to the violation, with every command and stage."""
    if verdict.way is None:
        return None
    stages = watched.network.named(Role.STAGE)
    part = cone(watched.network, [verdict.required.bad, *watched.network.outputs, *stages])
    return replay(part, verdict.way, verdict.required.bad)


def origins(watched: Watched, verdict: Verdict, trace: Trace, window_ms: int = 2000) -> tuple[Mark, ...]:
    """Where the signals were written that changed shortly before the violation and on which it depends."""
    rows = {row.name: row for row in watched.network.assignments}
    changed = {
        name
        for name in trace.tracks
        if any(when >= trace.end_ms - window_ms for when, _ in trace.changes(name)[1:])
    }
    observers = {name for name, row in rows.items() if row.identity.watches}
    found: set[Mark] = set()
    seen: set[str] = set()
    todo = [verdict.required.bad]
    while todo:
        name = todo.pop()
        if name in seen or name not in rows:
            continue
        seen.add(name)
        found.update(part.mark for part in rows[name].parts if name in changed)
        todo += [one for one in rows[name].reads if one in changed or one in observers]
    return tuple(sorted(mark for mark in found if mark.line))
