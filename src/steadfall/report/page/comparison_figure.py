"""A parting on paper: the inputs, then by circuit both ribbons of stages, and each output above that of the
second.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from steadfall.plan.model import Plan
from steadfall.prove.compare.apart import Apart, Side
from steadfall.prove.compare.compared import SECOND
from steadfall.quantities import clock
from steadfall.report.figure.figure import Figure, Marked
from steadfall.report.figure.lanes import Lane, Lanes, Segment, room
from steadfall.report.figure.sheets import stage_words
from steadfall.report.words.names import spoken
from steadfall.roles import HELPER, Role, stage, within

APART = "|"  # between the figure's name and the signal's, so that each figure has its own strips
LATER = ", 2nd"

Words = Mapping[int, tuple[str, float, str]]


def parting_figure(one: Apart, sides: tuple[Side, Side], name: str, circuits: Mapping[str, str]) -> Figure:
    """The figure of a difference; `circuits` are the second's own names of the circuits."""
    start, end = one.window
    rows = tuple(_rows(one, sides, name, circuits))
    labels = [label for row in rows for label in (row.title, *(lane.label for lane in row.lanes))]
    left = room(labels)
    at_ms = one.parting.at_ms
    marked = (Marked(at_ms, f"here they differ {clock(at_ms, fine=True)}"),)
    caption = f"{clock(start, fine=True)} to {clock(end, fine=True)}"
    return Figure(name, caption, start, end, (), rows, left, marked)


def _rows(one: Apart, sides: tuple[Side, Side], figure: str, circuits: Mapping[str, str]) -> Iterable[Lanes]:
    outputs = {side for name in one.outputs for side in (name, name + SECOND)}
    what = sides[0].network.identities
    plain = {name: one.doubled.get(name, name) for name in one.names}
    stages = {name for name in one.names if what.get(plain[name], HELPER).role is Role.STAGE}
    inputs = [name for name in one.names if name not in outputs and name not in stages]
    switches = tuple(_lane(one, figure, name, "", False) for name in inputs if _kind(one, name) == "bool")
    if switches:
        yield Lanes("inputs", (), switches)
    for name in inputs:
        if _kind(one, name) != "bool":
            yield Lanes(spoken(name.replace(".", ": ")), _measured(one, name, sides), ())
    for circuit in dict.fromkeys(what[name].circuit for name in one.outputs):
        own = [name for name in one.names if name in outputs and what[plain[name]].circuit == circuit]
        valves = {name for name in own if what[plain[name]].role is Role.COMMAND}
        lanes = tuple(_lane(one, figure, name, circuit, name in valves) for name in own)
        ribbons = list(_ribbons(one, sides, circuit, circuits.get(circuit, circuit)))
        for title, segments in ribbons[:-1]:
            yield Lanes(title, segments, ())
        title, segments = ribbons[-1] if ribbons else (spoken(circuit), ())
        yield Lanes(title, segments, lanes)


def _kind(one: Apart, name: str) -> str:
    return one.trace.tracks[name].kind


def _lane(one: Apart, figure: str, name: str, circuit: str, opens: bool) -> Lane:
    openings = tuple((int(a), int(b)) for a, b in one.trace.openings(name))
    label = spoken(within(one.doubled.get(name, name), circuit))
    label += LATER if name in one.doubled else ""
    return Lane(label, f"{figure}{APART}{name}", openings, opens=opens)


def _ribbons(
    one: Apart, sides: tuple[Side, Side], circuit: str, second: str
) -> Iterable[tuple[str, tuple[Segment, ...]]]:
    """The stages of a circuit on each side, as far as the side has stages."""
    for side, own, end, later in ((sides[0], circuit, "", ""), (sides[1], second, SECOND, LATER)):
        name = stage(circuit) + end
        if name in one.names and side.plan is not None:
            words = stage_words(side.plan.type_of(own))
            yield (
                spoken(circuit) + later,
                tuple(Segment(a, b, *words[int(v)]) for a, b, v in _stretches(one, name)),
            )


def _measured(one: Apart, name: str, sides: tuple[Side, Side]) -> tuple[Segment, ...]:
    """A measured value, held until it changes."""
    unit = next((_unit(side.plan, name) for side in sides if side.plan and name in side.plan.inputs), "")
    return tuple(
        Segment(a, b, f"{value:.4g} {unit}".rstrip(), 0.0, "idle") for a, b, value in _stretches(one, name)
    )


def _unit(plan: Plan, name: str) -> str:
    item = plan.inputs[name]
    return "%" if item.kind == "percent" else item.unit


def _stretches(one: Apart, name: str) -> Iterable[tuple[int, int, float]]:
    changes = [*one.trace.changes(name), (one.trace.end_ms, 0)]
    return (
        (int(begin), int(end), float(value)) for (begin, value), (end, _) in pairwise(changes) if end > begin
    )
