"""A run of a proof on paper: the ribbon of stages and the strips of what is shown of it, and the moment that
counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from attrs import evolve

from steadfall.plan.meaning.names import identities
from steadfall.plan.model import Plan
from steadfall.prove.explain.events import without_power
from steadfall.quantities import clock
from steadfall.report.figure.figure import RIGHT, Figure, Marked
from steadfall.report.figure.lanes import Lane, Lanes, Segment, room
from steadfall.report.figure.sheets import stage_words
from steadfall.report.figure.strips import Span
from steadfall.report.text.strips import NO_POWER
from steadfall.report.words.names import spoken
from steadfall.roles import HELPER, Role, within
from steadfall.roles import stage as stage_of
from steadfall.trace.trace import Trace

RIM_OF_STILL = 30.0  # px at the right, where no values are shown
INPUTS, WHOLE = "inputs", "whole plan"  # titles of what belongs to no circuit
APART = "|"  # between the figure's name and the signal's, so that each figure has its own strips

Shown = tuple[Trace, Sequence[str], tuple[int, int]]  # the run, the signals, the stretch that is drawn


def strips_figure(
    plan: Plan,
    name: str,
    shown: Shown,
    at_ms: int,
    words: str,
    *,
    cuts: Sequence[Span] = (),
    still: bool = False,
) -> Figure:
    """The figure of a run: inputs first, then circuit by circuit, a line at the moment that counts.

    `cuts` are the stretches without power. One that is `still` shows a requirement at work, and is not
    zoomed.
    """
    trace, names, (start, end) = shown
    rows = tuple(_rows(plan, name, trace, names, cuts))
    labels = [label for row in rows for label in (row.title, *(lane.label for lane in row.lanes))]
    left = room(labels)
    caption = f"{clock(start, fine=True)} to {clock(end, fine=True)}"
    fails = [
        Marked(begin, f"{clock(begin, fine=True)} {without_power(back - begin)}", "power")
        for begin, back in cuts
        if start <= begin <= end
    ]
    here = Marked(at_ms, f"{words} {clock(at_ms, fine=True)}", "says" if still else "wrong")
    return Figure(
        name,
        caption,
        start,
        end,
        (),
        rows,
        left,
        (*fails, here),
        right=RIM_OF_STILL if still else RIGHT,
        still=still,
    )


def _rows(
    plan: Plan, figure: str, trace: Trace, names: Sequence[str], cuts: Sequence[Span]
) -> Iterable[Lanes]:
    groups: dict[str, list[str]] = {INPUTS: [], WHOLE: []}
    what = identities(plan)
    for name in names:
        other = INPUTS if name in plan.inputs else WHOLE
        groups.setdefault(what.get(name, HELPER).circuit or other, []).append(name)
    for title, own in groups.items():
        circuit = title if title in plan.circuits else ""
        stage = stage_of(circuit)
        shown = [name for name in own if trace.tracks[name].kind == "bool"]
        valves = {name for name in shown if what.get(name, HELPER).role is Role.COMMAND}
        lanes = tuple(_lane(figure, trace, name, circuit, name in valves) for name in shown)
        states = stage_words(plan.type_of(circuit)) if circuit else {}
        segments = _segments(trace, stage, states, cuts) if stage in own else ()
        if lanes or segments:
            yield Lanes(spoken(title), segments, lanes)
        for name in own:
            if name != stage and trace.tracks[name].kind != "bool":
                yield Lanes(spoken(name.replace(".", ": ")), _held(trace, name, _unit(plan, name)), ())


def _lane(figure: str, trace: Trace, name: str, circuit: str, opens: bool) -> Lane:
    openings = tuple((int(a), int(b)) for a, b in trace.openings(name))
    label = spoken(within(name, circuit))
    return Lane(label, f"{figure}{APART}{name}", openings, opens=opens)


def _segments(
    trace: Trace, name: str, words: Mapping[int, tuple[str, float, str]], cuts: Sequence[Span]
) -> tuple[Segment, ...]:
    """The stages, and where there is no power, that."""
    known = (Segment(begin, end, *words[int(value)]) for begin, end, value in _stretches(trace, name))
    dark = tuple(Segment(begin, end, NO_POWER, 0.0, "idle") for begin, end in cuts if end > begin)
    return (*(piece for one in known for piece in _lit(one, cuts)), *dark)


def _lit(one: Segment, cuts: Sequence[Span]) -> Iterable[Segment]:
    """What of a stretch is with power."""
    begin = one.start_ms
    for fails, back in sorted(cuts):
        if back > begin and fails < one.end_ms:
            if fails > begin:
                yield evolve(one, start_ms=begin, end_ms=fails)
            begin = back
    if begin < one.end_ms:
        yield evolve(one, start_ms=begin)


def _held(trace: Trace, name: str, unit: str) -> tuple[Segment, ...]:
    """A measured value, held until it changes."""
    return tuple(
        Segment(begin, end, f"{value:.4g} {unit}".rstrip(), 0.0, "idle")
        for begin, end, value in _stretches(trace, name)
    )


def _stretches(trace: Trace, name: str) -> Iterable[tuple[int, int, float]]:
    changes = [*trace.changes(name), (trace.end_ms, 0)]
    return (
        (int(begin), int(end), float(value)) for (begin, value), (end, _) in pairwise(changes) if end > begin
    )


def _unit(plan: Plan, name: str) -> str:
    item = plan.inputs.get(name)
    return "" if item is None else "%" if item.kind == "percent" else item.unit
