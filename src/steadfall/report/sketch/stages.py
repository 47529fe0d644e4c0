"""The sequence as a table: a row a valve, a column a stage, in each cell a strip to scale.

Rule of this file: a strip is filled while its valve is open, a thin line while it is shut, hatched where that
hangs on a signal. Each column has a scale of its own, wide enough for two rounds of its longest dose; a dose
that changes within its stage is shown by both schemes, side by side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import frozen

from steadfall.plan.model import Action, CircuitType, Dose, FinishStep, Plan, Pulses, Share, Stage, Valve
from steadfall.plan.text.lay_out import time
from steadfall.plan.text.speak import speak
from steadfall.report.sketch.letters import Look, whole, width, wrapped
from steadfall.report.sketch.parts import (
    Area,
    Box,
    Carries,
    Drawn,
    Part,
    Pipe,
    Sketch,
    Sort,
    Word,
    line_step,
    lines,
    together,
)

EDGE = 14.0
TOP = 46.0
NAMES = 120.0  # px for the names of valves
STRIP = 13.0  # px: height of a strip
AIR = 12.0  # px between columns
WIDTHS = {"idle": 64.0, "stage": 136.0, "finish": 112.0}
THIN = 1.0  # px: the least that an opening is wide
ROUNDS = 2  # of the longest dose of a column
DOWN = 10.0
LEGEND = (
    "A strip is filled while its valve is open, a thin line while shut, hatched where that hangs on a signal."
)


@frozen
class Column:
    """A state of the sequence. `ends` are the words of what ends it; `window_ms` is what a strip shows, 0
    where nothing doses.
    """

    name: str
    sort: str  # "idle", "stage" or "finish"
    line: int
    ends: str
    ends_line: int
    window_ms: int
    left: float

    @property
    def right(self) -> float:
        """Where it ends."""
        return self.left + WIDTHS[self.sort]


@frozen
class Stretch:
    """A piece of a strip: "open", "shut" or "any", or the times of doses that are repeated over it."""

    how: str | Pulses


@frozen
class Cell:
    """What a valve does in a state: stretches of equal width, in words, and where the plan says it."""

    stretches: tuple[Stretch, ...]
    words: str
    line: int


def stage_table(plan: Plan) -> Sketch:
    """The tables of all circuit types of a plan that a circuit is of, one under the other."""
    used = dict.fromkeys(circuit.type for circuit in plan.circuits.values())
    drawn, y, wide = [], TOP, 0.0
    for name in used:
        kind = plan.circuit_types[name]
        made, y, right = _table(plan, kind, y)
        drawn.append(made)
        wide = max(wide, right)
        y += 34
    sheet = max(wide, width(plan.title, Look.HEAD) + EDGE, 560.0) + EDGE
    title = Word(plan.title, EDGE, 26.0, Look.HEAD)
    words = lines(wrapped(LEGEND, sheet - 2 * EDGE, Look.SMALL), EDGE, y - 10)
    every = together(drawn)
    return Sketch(
        f"{plan.title}: stages", sheet, words[-1].box.bottom + EDGE, every.parts, every.pipes, (title, *words)
    )


def columns(kind: CircuitType) -> tuple[Column, ...]:
    """Idle, the stages, the finish steps."""
    left, found = EDGE + NAMES, []
    for name, sort, line, ends, ends_line, window in _states(kind):
        found.append(Column(name, sort, line, ends, ends_line, window, left))
        left += WIDTHS[sort] + AIR
    return tuple(found)


def _states(kind: CircuitType) -> Iterator[tuple[str, str, int, str, int, int]]:
    yield "idle", "idle", kind.at.own.line, "", 0, 0
    for stage in kind.stages:
        climbs = f"\N{RIGHTWARDS ARROW} {speak(stage.climb)}" if stage.climb is not None else ""
        place = stage.at.of("climb").line
        yield stage.name, "stage", stage.at.own.line, climbs, place, ROUNDS * _longest(stage)
    for step in kind.finish:
        place = step.at.of("for").line
        yield step.name, "finish", step.at.own.line, f"for {_time(step.for_ms)}", place, 0


def _longest(stage: Stage) -> int:
    """The longest round of a dose or share in a stage, at the settings' defaults."""
    rounds = [0]
    for action in stage.actions.values():
        if isinstance(action, Dose):
            rounds.append(action.open_ms + action.shut_ms)
            if isinstance(action.then, Pulses):
                rounds.append(action.then.open_ms + action.then.shut_ms)
        elif isinstance(action, Share):
            rounds.append(action.cycle_ms)
    return int(max(rounds))


def cell(action: Action | None, line: int) -> Cell:
    """What a valve does where a stage says this of it; None: nothing, so that it is shut."""
    if action is None:
        return Cell((Stretch("shut"),), "", line)
    own = action.at.own.line or line
    if isinstance(action, Share):
        return Cell((Stretch("any"),), f"share of {action.of}, every {_time(action.cycle_ms)}", own)
    if not isinstance(action, Dose):
        return Cell((Stretch("open"),), "open", own)
    first = Pulses(action.open_ms, action.shut_ms)
    if action.for_ms is None:
        free = ", on the shared clock" if action.clock == "free" else ""
        return Cell((Stretch(first),), f"{_dose(first)}{free}", own)
    then = action.then if action.then is not None else "shut"
    after = then if isinstance(then, str) else _dose(then)
    words = f"{_dose(first)} for {_time(action.for_ms)}, then {after}"
    return Cell((Stretch(first), Stretch(then)), words, own)


def _time(ms: int) -> str:
    return whole(time(ms))


def _dose(pulses: Pulses) -> str:
    return f"{_time(pulses.open_ms)} open, {_time(pulses.shut_ms)} shut"


def cells(kind: CircuitType, valve: Valve) -> tuple[Cell, ...]:
    """What a valve does in each state."""
    rest = Cell((Stretch(valve.rest),), valve.rest, valve.at.of("rest").line)
    steps: tuple[Stage | FinishStep, ...] = (*kind.stages, *kind.finish)
    return (rest, *(cell(step.actions.get(valve.name), step.at.own.line) for step in steps))


def _table(plan: Plan, kind: CircuitType, top: float) -> tuple[Drawn, float, float]:
    """One table, where it ends below and at the right."""
    over = columns(kind)
    right = over[-1].right
    heading, y = _heading(plan, kind, top, right)
    head, y = _heads(kind, over, y)
    drawn = [heading, head]
    for valve in kind.valves.values():
        made, below = _row(kind, valve, over, y)
        drawn += [made, Drawn((), (Pipe(((EDGE, y - 6), (right, y - 6)), Carries.READING),))]
        y = below
    drawn.append(Drawn((), (Pipe(((EDGE, y - 6), (right, y - 6)), Carries.READING),)))
    feet, y = _feet(kind, over, y)
    return together([*drawn, feet]), y, right


def _heading(plan: Plan, kind: CircuitType, y: float, right: float) -> tuple[Drawn, float]:
    """The type and its circuits, with by how much their doses lag."""
    own = [one for one in plan.circuits.values() if one.type == kind.name]
    lag = [f" (doses {_time(one.delay_doses_ms)} later)" if one.delay_doses_ms else "" for one in own]
    circuits = ", ".join(f"{one.name}{late}" for one, late in zip(own, lag, strict=True))
    down = f"steps down after {_time(kind.step_down_ms)}" if kind.step_down_ms else "steps down at once"
    names = lines(wrapped(kind.name, right - EDGE, Look.HEAD, 1), EDGE, y + 12, Look.HEAD)
    facts = lines(wrapped(f"{circuits}; {down}", right - EDGE, Look.SMALL), EDGE, y + 30)
    part = Part(kind.name, kind.at.own.line, f"{kind.name}: {circuits}; {down}", names=(*names, *facts))
    return Drawn((part,)), facts[-1].y + 24


def _heads(kind: CircuitType, over: Sequence[Column], y: float) -> tuple[Drawn, float]:
    """The names of the states, and how long a strip below them is."""
    most = max(len(wrapped(one.name, WIDTHS[one.sort], Look.NAME)) for one in over)
    foot = y + (most - 1) * line_step(Look.NAME)
    parts = []
    for one in over:
        names = lines(wrapped(one.name, WIDTHS[one.sort], Look.NAME), one.left, foot, Look.NAME, up=True)
        plain = "finish" if one.sort == "finish" else ""
        scale = f"strips of {_time(one.window_ms)}" if one.window_ms else plain
        below = lines(wrapped(scale, WIDTHS[one.sort], Look.SMALL, 1), one.left, foot + 15)
        parts.append(
            Part(f"{kind.name}.{one.name}", one.line, f"{one.name}: {one.sort}", names=(*names, *below))
        )
    return Drawn(tuple(parts)), foot + 36


def _row(kind: CircuitType, valve: Valve, over: Sequence[Column], y: float) -> tuple[Drawn, float]:
    """A valve in all states, and where the next begins."""
    label = wrapped(valve.name, NAMES - 10, Look.NAME)
    name = f"{kind.name}.{valve.name}"
    words = f"{valve.name}: {valve.supply or 'no supply'}"
    parts = [Part(name, valve.at.own.line, words, names=lines(label, EDGE, y + 11, Look.NAME))]
    for one, own in zip(over, cells(kind, valve), strict=True):
        said = wrapped(own.words, WIDTHS[one.sort], Look.SMALL, 3)
        names = lines(said, one.left, y + STRIP + 13)
        spoken = f"{valve.name} in {one.name}: {own.words or 'shut'}"
        parts.append(Part(name, own.line, spoken, areas=tuple(_strip(own, one, y)), names=names))
    foot = max(word.y for part in parts for word in part.names)
    return Drawn(tuple(parts)), max(foot, y + STRIP + 13) + 20


def _strip(own: Cell, column: Column, y: float) -> Iterator[Area]:
    """The strip of a cell as boxes."""
    count = len(own.stretches)
    wide = (column.right - column.left - (4.0 if count > 1 else 0.0)) / count
    for number, stretch in enumerate(own.stretches):
        left = column.left + number * (wide + 4.0)
        box = Box(left, y, left + wide, y + STRIP)
        if isinstance(stretch.how, Pulses):
            yield Area(Sort.SHUT, box)
            scale = (column.right - column.left) / column.window_ms
            yield from _doses(stretch.how, box, scale)
        else:
            yield Area(_SORTS[stretch.how], box)


_SORTS = {"open": Sort.OPEN, "shut": Sort.SHUT, "any": Sort.ANY}


def _doses(pulses: Pulses, box: Box, scale: float) -> Iterator[Area]:
    """The openings that begin within a box; `scale` in px per ms."""
    moment, least = 0, min(THIN, box.right - box.left)
    while box.left + moment * scale < box.right - 0.01:
        left = box.left + moment * scale
        right = min(box.right, max(left + pulses.open_ms * scale, left + least))
        yield Area(Sort.OPEN, Box(left, box.top, right, box.bottom))
        moment += max(1, pulses.open_ms + pulses.shut_ms)


def _feet(kind: CircuitType, over: Sequence[Column], y: float) -> tuple[Drawn, float]:
    """What ends each state, under its column."""
    parts = []
    for one in over:
        said = lines(wrapped(one.ends, WIDTHS[one.sort], Look.SMALL, 6), one.left, y + DOWN)
        if said:
            words = f"{one.name} ends: {one.ends}"
            parts.append(Part(f"{kind.name}.{one.name}", one.ends_line or one.line, words, names=said))
    label = Word("ends when", EDGE, y + DOWN)
    head = Part(kind.name, kind.at.own.line, "what ends each state", names=(label,))
    foot = max((word.y for part in parts for word in part.names), default=y + DOWN)
    return Drawn((head, *parts)), foot + 14
