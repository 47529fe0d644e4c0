"""The piping of a plan as a sketch: supplies at the left, a row a circuit, bodies that they cross.

Rule of this file: lines never cross. Where one supply feeds several circuits, or one circuit has several, the
lines go through; where both is so they could not without crossing, and go on at flags of the same name.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.plan.model import Plan
from steadfall.report.sketch.bodies import Group, body_box, foot, groups, head, line_in
from steadfall.report.sketch.circuit import Feed, above, below, circuit_row, feeds
from steadfall.report.sketch.grid import EDGE, Grid, Scene, grid, scene
from steadfall.report.sketch.instruments import Spot
from steadfall.report.sketch.letters import Look, wrapped
from steadfall.report.sketch.parts import Drawn, Pipe, Sketch, Word, lines, together
from steadfall.report.sketch.supplies import TALL, carried, flag, flag_width, supply_line

TOP = 46.0  # px for the title
APART = 22.0  # between circuits, between boxes
AT_REST = (
    "Valves are drawn at rest: filled is shut, hollow is open. FC shuts, FO opens, FL stays without signal."
)
FLAGS = " A line that ends in a flag goes on at the flags of the same name."
LEGEND = 14.0


@frozen
class Placed:
    """A circuit's line at its height."""

    circuit: str
    y: float


def piping(plan: Plan) -> Sketch:
    """The sketch of any plan that was read."""
    of = scene(plan)
    joined = len(plan.supplies) == 1 or len(plan.circuits) == 1
    return _joined(of) if joined else _flagged(of)


def _joined(of: Scene) -> Sketch:
    """Lines that go through from the supplies to the valves."""
    first = [supply_line(of, supply, 0.0) for supply in of.plan.supplies.values()]
    columns = grid(of, max((laid.end for laid in first), default=EDGE) + 20)
    drawn, placed, bottom = _column(of, columns, TOP)
    wanted = [feed for one in placed for feed in feeds(of, one.circuit, one.y)]
    return _sheet(of, columns, drawn + _led(of, columns, wanted, bottom), _last(of, wanted, bottom), AT_REST)


def _last(of: Scene, wanted: list[Feed], bottom: float) -> float:
    spare = len(of.plan.supplies) - len({feed.supply for feed in wanted})
    return bottom + TALL * spare


def _led(of: Scene, columns: Grid, wanted: list[Feed], bottom: float) -> Drawn:
    """The supplies at the heights where they are wanted; below all what nobody wants."""
    drawn = []
    for supply in of.plan.supplies.values():
        heights = [feed.y for feed in wanted if feed.supply == supply.name]
        if not heights:
            bottom += TALL
        laid = supply_line(of, supply, heights[0] if heights else bottom - TALL / 2)
        drawn.append(laid.drawn)
        if heights:
            points = ((laid.end, heights[0]), (columns.header, heights[0]), (columns.header, heights[-1]))
            drawn.append(Drawn((), (Pipe(points[: 2 + (len(heights) > 1)], carried(supply)),)))
    return together(drawn)


def _flagged(of: Scene) -> Sketch:
    """The supplies above the circuits, and flags between them."""
    drawn, y = [], TOP + 34
    end = max(supply_line(of, supply, 0.0).end for supply in of.plan.supplies.values()) + 24
    for supply in of.plan.supplies.values():
        laid = supply_line(of, supply, y)
        line = Pipe(((laid.end, y), (end, y)), carried(supply))
        drawn += [laid.drawn, flag(of.plan, supply, end, y).drawn, Drawn((), (line,))]
        y += TALL
    header = EDGE + flag_width(of.plan) + 20
    columns = grid(of, header)
    below_them, placed, bottom = _column(of, columns, y)
    for one in placed:
        for feed in feeds(of, one.circuit, one.y):
            supply = of.plan.supplies[feed.supply]
            inlet = flag(of.plan, supply, EDGE, feed.y)
            line = Pipe(((inlet.end, feed.y), (header, feed.y)), carried(supply))
            drawn += [inlet.drawn, Drawn((), (line,))]
    return _sheet(of, columns, together([below_them, *drawn]), bottom, AT_REST + FLAGS)


def _column(of: Scene, columns: Grid, top: float) -> tuple[Drawn, list[Placed], float]:
    """Circuits and bodies from top to bottom, where each circuit's line is, and where they end."""
    drawn, placed, y = [], [], top
    for group in groups(of.plan):
        if group.circuits:
            made, rows, y = _crossed(of, group, columns, y)
            placed += rows
        else:
            tall = head(of.plan, group) + foot(of, group) - (0.0 if of.at(Spot.THING, group.host) else 10.0)
            made = body_box(of, group, columns, (y, y + tall))
            y += tall
        drawn.append(made)
        y += APART
    return together(drawn), placed, y


def _crossed(of: Scene, group: Group, columns: Grid, top: float) -> tuple[Drawn, list[Placed], float]:
    """A host with the circuits that cross it."""
    drawn, placed, y = [], [], top
    ends = [top, top]
    for number, circuit in enumerate(group.circuits):
        room = above(of, circuit)
        inside = 0.0 if number else head(of.plan, group) + 16
        line = y + max(room, inside)
        if not number:
            ends[0] = line - inside
        drawn.append(circuit_row(of, circuit, columns, line))
        placed.append(Placed(circuit, line))
        ends[1] = line + line_in(of, group, circuit)
        y = max(line + below(of, circuit), ends[1]) + (APART if number < len(group.circuits) - 1 else 0.0)
    box = body_box(of, group, columns, (ends[0], ends[1]))
    return together([box, *drawn]), placed, y


def _sheet(of: Scene, columns: Grid, drawn: Drawn, bottom: float, legend: str) -> Sketch:
    wide = max(
        columns.end + 96,
        *(word.box.right + EDGE for part in drawn.parts for word in part.names),
        *(area.box.right + EDGE for part in drawn.parts for area in part.areas),
    )
    title = Word(wrapped(of.plan.title, wide - 2 * EDGE, Look.HEAD, 1)[0], EDGE, 26.0, Look.HEAD)
    words = lines(wrapped(legend, wide - 2 * EDGE, Look.SMALL, 3), EDGE, bottom + LEGEND)
    end = words[-1].box.bottom + EDGE
    return Sketch(of.plan.title, wide, end, drawn.parts, drawn.pipes, (title, *words))
