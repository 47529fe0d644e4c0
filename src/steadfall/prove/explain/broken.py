"""A violation as it is shown, in a terminal and on paper: the run, what of it is drawn, why, and the plan's
lines.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from attrs import frozen

from steadfall.logic.nodes import Value
from steadfall.prove.decide.result import Verdict
from steadfall.prove.explain.events import Event, cuts, events
from steadfall.prove.explain.reasons import Told, explain_violation
from steadfall.prove.explain.stretch import near, shown
from steadfall.prove.explain.trace import origins, run_of
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.system.usual import usual
from steadfall.trace.trace import Trace
from steadfall.why.words.wording import wording_of


@frozen(eq=False)
class Broken:
    """A requirement that is broken: the moment, the run, the signals and the stretch that are drawn, the
    reasons.
    """

    verdict: Verdict
    at_ms: int
    trace: Trace
    names: tuple[str, ...]
    window: tuple[int, int]
    told: tuple[Told, ...]
    lines: tuple[int, ...]  # of the plan: where the sentence is said, then those that took part
    events: tuple[Event, ...] = ()  # what happens to the inputs that are drawn, and to the power
    cuts: tuple[tuple[int, int], ...] = ()  # when the power fails, and when it is back


def broken(of: Watched, verdict: Verdict) -> Broken | None:
    """How a refuted requirement is broken; None where the interpreter does not see it."""
    seen = run_of(of, verdict)
    if seen is None or verdict.way is None:
        return None
    trace = seen.trace
    names = tuple(name for name in shown(verdict, usual(of.plan)) if name in trace.tracks)
    marks = (*verdict.required.marks, *origins(of, verdict, trace))
    lines = tuple(dict.fromkeys(mark.line for mark in marks if mark.line))
    gone = cuts(verdict.way)
    drawn, window = near(trace, names, (when for cut in gone for when in cut))
    inputs = [row.name for row in of.network.inputs if row.name in names]
    happening = events(
        verdict.way, inputs, wording_of(of.plan).units, [_held(of, names, one) for one in seen.before_cuts]
    )
    return Broken(
        verdict, trace.end_ms, drawn, names, window, explain_violation(of, verdict), lines, happening, gone
    )


def _held(of: Watched, names: Iterable[str], values: Mapping[str, Value]) -> list[str]:
    """What of a sentence's own signals is open or on, in words; a power cut ends it."""
    made = [name for name in names if name in of.controller and values.get(name) is True]
    return [f"{name} is {'open' if name in of.network.outputs else 'on'}" for name in made]
