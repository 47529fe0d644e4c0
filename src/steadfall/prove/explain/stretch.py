"""What of a run is shown as a strip: which signals, and which stretch of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from steadfall.logic.nodes import Value
from steadfall.prove.decide.result import Verdict
from steadfall.prove.requirements.watch import Required
from steadfall.trace.trace import Trace


def shown(verdict: Verdict, ordinary: Mapping[str, Value] | None = None) -> tuple[str, ...]:
    """The signals that a strip shows: inputs that change or are not as usual, what the sentence names, its
    stage.
    """
    usual = ordinary or {}
    inputs = verdict.way.inputs.items() if verdict.way else ()
    turns = {name: row.values.tolist() for name, row in inputs}
    moved = [
        name for name, values in turns.items() if len(values) > 1 or values[0] != usual.get(name, values[0])
    ]
    return with_stages(moved, verdict.required)


def with_stages(inputs: Iterable[str], said: Required) -> tuple[str, ...]:
    """Inputs, then the signals of a sentence, then the stage of each of its circuits; each once."""
    return tuple(dict.fromkeys([*inputs, *said.shown, *said.stages]))


CHANGES, LONGEST_MS, SHORTEST_MS = 6, 120_000, 2_000  # of what a strip shows
AFTER = 20  # a part of the stretch before the violation is drawn after it, with what the last scan gave


def near(trace: Trace, names: Iterable[str], also: Iterable[int] = ()) -> tuple[Trace, tuple[int, int]]:
    """The run drawn out a little past its end, and the stretch in which what is shown last changed a few
    times.

    `also`: other moments that count as a change.
    """
    end = max(1, trace.end_ms)
    turns = {when for name in names for when, _ in trace.changes(name)[1:]}
    moments = sorted(when for when in turns | set(also) if when < end)
    first = moments[-CHANGES] if len(moments) >= CHANGES else 0
    span = min(LONGEST_MS, max(SHORTEST_MS, round(1.1 * (end - first))))
    begin = max(0, end - span)
    drawn_to = end + max(10, (end - begin) // AFTER)
    return Trace(trace.tracks, drawn_to), (begin, drawn_to)
