"""The pieces that sketches are put together from: a valve with its words, a stack of instruments.

Rule of this file: a piece is given the point by which it hangs on its line, and keeps to the room that `grid`
has for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from steadfall.plan.model import Input, Line, MainValve, Valve
from steadfall.report.sketch.grid import NAMES, SIDE, STEP
from steadfall.report.sketch.instruments import Sensor
from steadfall.report.sketch.letters import Look, wrapped
from steadfall.report.sketch.parts import (
    Carries,
    Drawn,
    Part,
    Pipe,
    Point,
    Sign,
    Symbol,
    Word,
    line_step,
    lines,
    together,
)
from steadfall.units import shown

FAILS = {"shut": "FC", "open": "FO", "stays": "FL"}  # ISA-5.1
PITCH = 27.0  # from limit switch to limit switch
BESIDE = 2  # names that have room beside limit switches


def valve_part(name: str, label: str, valve: Valve | MainValve, what: str, at: Point) -> Part:
    """A valve at rest: its name right of the actuator, its Kv under the line, under its body how it fails."""
    x, y = at
    rest = valve.rest if isinstance(valve, Valve) else "shut"
    sign = Sign.VALVE_OPEN if rest == "open" else Sign.VALVE_SHUT
    fails = FAILS[valve.without_signal]
    names = (
        *lines(wrapped(label, NAMES, Look.NAME), x + 19, y - 7, Look.NAME, up=True),
        *lines(given("Kv", valve.kv, "kv"), x + 19, y + 15),
        Word(fails, x, y + 20, Look.SMALL, "middle"),
    )
    said = [what, *given("Kv", valve.kv, "kv"), f"{rest} at rest", f"{valve.without_signal} without signal"]
    return Part(name, valve.at.own.line, f"{name}: {', '.join(said)}", (Symbol(sign, x, y),), names=names)


def given(label: str, value: Any, dimension: str) -> tuple[str, ...]:
    """A number with its unit; nothing where the plan does not say it."""
    return () if value is None else (f"{label} {shown(value, dimension, 3)}".strip(),)


def line_words(line: Line | None, end: float, y: float) -> tuple[Word, ...]:
    """What a pipe of some length is, under its line."""
    if line is None:
        return ()
    text = f"{shown(line.length, 'length', 3)}, bore {shown(line.bore, 'length', 3)}"
    return lines(wrapped(text, SIDE, Look.SMALL), end, y + 15, align="end")


def limit_switches(found: Sequence[Sensor], at: Point) -> Drawn:
    """The limit switches of a valve in a row left of its actuator; the names of the first two beside them."""
    x, y = at
    drawn, right = [], x - 6
    last = x - 34 - PITCH * (len(found) - 1)
    room = SIDE - 26 - PITCH * (len(found) - 1)
    for number, sensor in enumerate(found):
        circle = Symbol(Sign.INSTRUMENT, x - 34 - PITCH * number, y - 21)
        texts = wrapped(sensor.label, room, Look.SMALL, 2 if len(found) == 1 else 1)
        place = y - 12 - number * line_step(Look.SMALL)
        names = lines(texts, last - 16, place, align="end", up=True) if number < BESIDE else ()
        leader = Pipe(((circle.x + 12.5, y - 21), (right, y - 21)), Carries.READING)
        drawn.append(Drawn((_instrument(sensor, circle, names),), (leader,)))
        right = circle.x - 12.5
    return together(drawn)


def stack(found: Sequence[Sensor], tap: Point, *, up: bool = False, in_metal: bool = False) -> Drawn:
    """Instruments one beyond the other on one leader from where they measure, names at their right."""
    if not found:
        return Drawn()
    x, y = tap
    way = -1 if up else 1
    drawn = []
    for number, sensor in enumerate(found):
        here = y + way * STEP * (number + 1)
        circle = Symbol(Sign.INSTRUMENT, x + 22, here)
        texts = wrapped(sensor.label, NAMES, Look.SMALL)
        first = here + 4 - 6.5 * (len(texts) - 1)
        names = lines(texts, circle.x + 17, first)
        leader = Pipe(((x, here), (circle.x - 12.5, here)), Carries.READING)
        point = tap if in_metal and not number else None
        drawn.append(Drawn((_instrument(sensor, circle, names, point),), (leader,)))
    trunk = Pipe(((x, y), (x, y + way * STEP * len(found))), Carries.READING)
    return together([Drawn((), (trunk,)), *drawn])


def _instrument(sensor: Sensor, circle: Symbol, names: tuple[Word, ...], point: Point | None = None) -> Part:
    item: Input = sensor.input
    letters = Word(sensor.letters, circle.x, circle.y + 3.4, Look.LETTERS, "middle")
    points = () if point is None else (Symbol(Sign.POINT, *point),)
    of = f"measures {item.measures}" if item.measures else "limit switch"
    words = f"{item.name}: {item.kind}, {of}"
    return Part(item.name, item.at.own.line, words, (circle, *points), names=(letters, *names))
