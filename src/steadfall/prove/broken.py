"""A violation as it is shown, in a terminal and on paper: the run, what of it is drawn, why, and the plan's lines."""

from __future__ import annotations

from attrs import frozen

from steadfall.logic.trace import Trace
from steadfall.prove.because import Told, because
from steadfall.prove.requirements import Watched
from steadfall.prove.result import Verdict
from steadfall.prove.show import near, shown
from steadfall.prove.trace import origins, trace_of


@frozen(eq=False)
class Broken:
    """A requirement that is broken: the moment, the run, the signals and the stretch that are drawn, the reasons."""

    verdict: Verdict
    at_ms: int
    trace: Trace
    names: tuple[str, ...]
    window: tuple[int, int]
    told: tuple[Told, ...]
    lines: tuple[int, ...]  # of the plan: where the sentence is said, then those that took part


def broken(of: Watched, verdict: Verdict) -> Broken | None:
    """How a refuted requirement is broken; None where the interpreter does not see it."""
    trace = trace_of(of, verdict)
    if trace is None:
        return None
    names = tuple(name for name in shown(verdict) if name in trace.tracks)
    marks = (*verdict.required.marks, *origins(of, verdict, trace))
    lines = tuple(dict.fromkeys(mark.line for mark in marks if mark.line))
    drawn, window = near(trace, names)
    return Broken(verdict, trace.end_ms, drawn, names, window, because(of, verdict), lines)
