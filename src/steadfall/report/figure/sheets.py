"""The two figures of a report: the whole cool-down, and its first doses one by one."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from attrs import evolve

from steadfall.plan.model import CircuitType
from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import clock
from steadfall.report.figure.charts import circuit_panels, panels
from steadfall.report.figure.figure import Figure
from steadfall.report.figure.lanes import Lane, Lanes, Segment, room
from steadfall.report.figure.marks import Balloon
from steadfall.report.figure.strips import Span
from steadfall.report.words.happened import Watched, changing, steady, watched
from steadfall.report.words.names import cut, in_lines, spoken
from steadfall.roles import stage

FIRST_MS = 120_000  # how much of the first doses is shown
LABEL, LETTERS = 18, 44  # letters beside a strip: in a line, and in all
AFTER_MS = 10_000  # and how much after the last of them
DOSES_IN_SIGHT = 45  # but no more than so many of one valve, so that each stands apart


def whole_figure(prediction: Prediction) -> Figure:
    """Everything from the start to the end."""
    caption = f"The whole cool-down, {clock(prediction.end_ms)}"
    lanes = rows(prediction)
    return Figure("whole", caption, 0, prediction.end_ms, panels(prediction), lanes, _left(lanes))


def first_figure(prediction: Prediction) -> Figure | None:
    """The first doses, wide enough apart to read; None when the run is hardly longer than that."""
    start, end = first_window(prediction)
    if end - start > 0.6 * prediction.end_ms:
        return None
    drawn = [panel for group in circuit_panels(prediction, start, end) for panel in group]
    near = tuple(evolve(panel, balloons=_within(panel.balloons, start, end)) for panel in drawn)
    caption = f"The first doses, {clock(start)} to {clock(end)}"
    lanes = rows(prediction)
    return Figure("first", caption, start, end, near, lanes, _left(lanes))


def _left(lanes: tuple[Lanes, ...]) -> float:
    return room(lane.label for row in lanes for lane in row.lanes)


def _within(balloons: tuple[Balloon, ...], start: int, end: int) -> tuple[Balloon, ...]:
    return tuple(balloon for balloon in balloons if start <= balloon.time_ms <= end)


def first_window(prediction: Prediction) -> tuple[int, int]:
    """From shortly before the first opening of any valve that doses, for two minutes or so many doses."""
    opened = [lane.openings for row in _circuits(prediction) for lane in row.lanes if len(lane.openings) > 2]
    if not opened:
        return 0, min(FIRST_MS, prediction.end_ms)
    start = max(0, min(spans[0][0] for spans in opened) - 2_000) // 1000 * 1000
    ends = [spans[DOSES_IN_SIGHT][0] for spans in opened if len(spans) > DOSES_IN_SIGHT]
    last = max(spans[-1][0] for spans in opened) + AFTER_MS
    end = min([start + FIRST_MS, prediction.end_ms, last, *ends])
    return start, max(end, start + 1_000)


def rows(prediction: Prediction) -> tuple[Lanes, ...]:
    """A ribbon and strips for each circuit, then strips of what changed of switches and guards."""
    return (*_circuits(prediction), *_controller(prediction))


def _circuits(prediction: Prediction) -> tuple[Lanes, ...]:
    return tuple(_circuit_rows(prediction, circuit) for circuit in prediction.plan.circuits)


def _controller(prediction: Prediction) -> tuple[Lanes, ...]:
    seen = watched(prediction)
    found = changing(prediction.trace, seen)
    labels = [in_lines(one, LABEL) for one in cut([one.words for one in found], LETTERS)]
    lanes = tuple(_signal(prediction, *one) for one in zip(found, labels, strict=True))
    return (Lanes("controller", (), lanes, steady(prediction.trace, seen)),) if seen else ()


def _signal(prediction: Prediction, one: Watched, label: str) -> Lane:
    spans = tuple((int(a), int(b)) for a, b in prediction.trace.openings(one.name))
    count = f"on {len(spans)} \N{MULTIPLICATION SIGN}"
    return Lane(label, one.name, spans, (), count, opens=False)


def _circuit_rows(prediction: Prediction, circuit: str) -> Lanes:
    valves = prediction.plan.type_of(circuit).valves
    names = [name for name in valves if f"{circuit}.{name}" in prediction.trace.tracks]
    lanes = tuple(_lane(prediction, circuit, name) for name in names)
    return Lanes(spoken(circuit), stages(prediction, circuit), lanes)


def _lane(prediction: Prediction, circuit: str, valve: str) -> Lane:
    name = f"{circuit}.{valve}"
    openings: tuple[Span, ...] = tuple((int(a), int(b)) for a, b in prediction.trace.openings(name))
    track = prediction.trace.tracks[name]
    begins = int(track.times_ms[0]) if len(track.times_ms) else prediction.end_ms
    unknown = ((0, begins),) if begins > 0 else ()
    count = f"{len(openings)} opening{'' if len(openings) == 1 else 's'}" if openings else "never open"
    return Lane(spoken(valve), name, openings, unknown, count)


def stages(prediction: Prediction, circuit: str) -> tuple[Segment, ...]:
    """The stretches of a circuit's sequence, read from its recorded state."""
    track = prediction.trace.tracks.get(stage(circuit))
    if track is None or not len(track.times_ms):
        return ()
    words = stage_words(prediction.plan.type_of(circuit))
    times = np.asarray(track.times_ms)
    states = np.asarray(track.values)
    kept = np.flatnonzero(np.diff(states, prepend=states[0] - 1))
    ends = [*times[kept[1:]], prediction.end_ms]
    return tuple(
        Segment(int(times[index]), int(end), *words[int(states[index])])
        for index, end in zip(kept, ends, strict=True)
    )


def stage_words(kind: CircuitType) -> Mapping[int, tuple[str, float, str]]:
    """What each number of the sequence means: name, strength 0..1, kind."""
    count = len(kind.stages)
    words = {0: ("idle", 0.0, "idle")}
    for number, one in enumerate(kind.stages, start=1):
        words[number] = (spoken(one.name), number / count, "stage")
    for number, step in enumerate(kind.finish, start=count + 1):
        words[number] = (spoken(step.name), 0.12, "finish")
    return words
