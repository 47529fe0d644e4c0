"""Why a requirement is broken: the reasons of its own signals at the moment of the violation.

Rule of this file: it speaks of what the sentence names, a valve or a stage, and not of what watches it; a
power cut begins the run anew, so what is told goes back to the last one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path

from attrs import frozen

from steadfall.logic.cone import cone
from steadfall.prove.decide.result import Verdict
from steadfall.prove.requirements.whole import Watched
from steadfall.roles import Role
from steadfall.runs.run import Run
from steadfall.source import Mark
from steadfall.why.explain import Explanation, explain
from steadfall.why.facts.facts import Signal
from steadfall.why.least.justify import Justified, justify
from steadfall.why.scans.history import History
from steadfall.why.words.tell import Reason
from steadfall.why.words.wording import wording_of

MOST = 12  # lines


@frozen
class Told:
    """A line of the answer: how deep it stands, its words, its place in the plan."""

    depth: int
    text: str
    mark: Mark | None = None


def explain_violation(of: Watched, verdict: Verdict, most: int = MOST) -> tuple[Told, ...]:
    """Why the signals of a broken requirement were as they were when it broke, in so many lines at most."""
    if verdict.way is None:
        return ()
    run = since_power_up(verdict.way)
    if not len(run):
        return ()
    stages = of.network.named(Role.STAGE)
    part = cone(of.network, [verdict.required.bad, *of.network.outputs, *stages])
    history = History(part, run)
    last, words = len(history) - 1, wording_of(of.plan)
    names = [name for name in _named(history, verdict, last) if name not in history.inputs]
    found = [explain(part, history, name, last, words) for name in names[:most]]
    each = max(1, most // max(1, len(found)))
    return tuple(line for one in found for line in lines_of(one, each))


def since_power_up(run: Run) -> Run:
    """The steps after the last power cut, with every input as it then stood."""
    return run.part(max(run.cuts, default=-1) + 1)


def _named(history: History, verdict: Verdict, scan: int) -> Iterable[str]:
    """The signals of the sentence on which the violation rests; where none is seen in this scan, all of
    them.
    """
    shown = [name for name in verdict.required.shown if name in history.types]
    known = justify(history, verdict.required.bad, scan)
    met = set(_met(known, {row.name for row in history.rows_by_name.values() if row.identity.watches}))
    return [name for name in shown if name in met and name not in history.inputs] or shown


def _met(known: Justified, observers: Collection[str]) -> Iterable[str]:
    todo, seen = [known.root], set[str]()
    while todo:
        part = todo.pop()
        if isinstance(part, Signal):
            if part.name in seen:
                continue
            seen.add(part.name)
            yield part.name
        if isinstance(part, Signal) and part.name not in observers:
            continue
        todo += known.parts(part)


def lines_of(one: Explanation, most: int) -> Iterable[Told]:
    """The head and as many levels of reasons as there is room for; of a level too long, its first lines."""
    yield Told(0, f"{one.head}{' because' if one.reasons else ''}")
    levels = [list(_down_to(one.reasons, depth)) for depth in (1, 2, 3)]
    fitting = [rows for rows in levels if len(rows) < most]
    yield from (fitting[-1] if fitting else levels[0][: most - 1])


def _down_to(reasons: Iterable[Reason], deepest: int, depth: int = 1) -> Iterable[Told]:
    for reason in reasons:
        yield Told(depth, reason.sentence, reason.mark if reason.mark.line else None)
        if depth < deepest:
            yield from _down_to(reason.reasons, deepest, depth + 1)


def sentences(rows: Iterable[Told], within: str = "") -> list[str]:
    """The answer for a terminal: indented, the place behind each line; of the file that it stands under, the
    line.
    """
    return [f"{'  ' * row.depth}{row.text}{_place(row.mark, within)}" for row in rows]


def _place(mark: Mark | None, within: str) -> str:
    if mark is None:
        return ""
    return f"   (line {mark.line})" if Path(mark.file).name == within else f"   ({mark.file}:{mark.line})"
