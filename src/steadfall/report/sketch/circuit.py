"""One circuit as a row of the sketch: valves, what is measured at its inlet, path, outlet, drains, relief."""

from __future__ import annotations

from attrs import frozen

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import CircuitType, Path, Relief, Valve
from steadfall.report.sketch.grid import (
    BODY,
    NAMES,
    OUTLET,
    ROW,
    STEP,
    Grid,
    Row,
    Scene,
    by_supply,
    command,
    drains,
    inlets,
    shut_offs,
)
from steadfall.report.sketch.instruments import Spot
from steadfall.report.sketch.letters import Look, wrapped
from steadfall.report.sketch.parts import (
    Area,
    Box,
    Carries,
    Drawn,
    Part,
    Pipe,
    Point,
    Sign,
    Sort,
    Symbol,
    lines,
    together,
)
from steadfall.report.sketch.pieces import given, limit_switches, line_words, stack, valve_part
from steadfall.units import shown

HEADING = 30.0  # px above a circuit for its name
ABOVE, BELOW = 34.0, 30.0  # of a valve
DRAIN = 52.0  # from the line to the first drain, and from drain to drain
PATH = 12.0  # half the height of a path


@frozen
class Feed:
    """Where a circuit wants a supply: the supply's name, and the height of the line."""

    supply: str
    y: float


def above(of: Scene, circuit: str) -> float:
    """The room that a circuit needs above its line, without a body's name."""
    kind = of.plan.type_of(circuit)
    valves = (len(inlets(of.plan, circuit)) - 1) / 2 * ROW + ABOVE
    relief = 64.0 if kind.relief else 0.0
    outlet = _stacked(of, Spot.OUTLET, circuit)
    return HEADING + max(valves, relief, outlet, ABOVE)


def below(of: Scene, circuit: str) -> float:
    """The room that it needs below its line, without what is measured in a body."""
    valves = (len(inlets(of.plan, circuit)) - 1) / 2 * ROW + BELOW
    drained = len(drains(of.plan, circuit)) * DRAIN + BELOW
    return max(valves, drained, _stacked(of, Spot.INLET, circuit), path_below(of, circuit))


def path_below(of: Scene, circuit: str) -> float:
    """The room that a path takes under the line, with what is measured in its wall."""
    return PATH + 22.0 + _stacked(of, Spot.WALL, circuit)


def _stacked(of: Scene, spot: Spot, owner: str) -> float:
    count = len(of.at(spot, owner))
    return STEP * count + 20.0 if count else 0.0


def feeds(of: Scene, circuit: str, y: float) -> tuple[Feed, ...]:
    """Where a circuit wants its supplies, from top to bottom."""
    rows = inlets(of.plan, circuit)
    return tuple(Feed(name, _row_y(rows, numbers[0], y)) for name, numbers in by_supply(rows).items())


def _row_y(rows: tuple[Row, ...], number: int, y: float) -> float:
    return y + (number - (len(rows) - 1) / 2) * ROW


def circuit_row(of: Scene, circuit: str, grid: Grid, y: float) -> Drawn:
    """A circuit with its line at a height."""
    kind = of.plan.type_of(circuit)
    return together((
        _inlets(of, circuit, grid, y),
        _relief(circuit, kind.relief, grid, y),
        stack(of.sensors.get((Spot.INLET, circuit), ()), (grid.manifold + 16, y)),
        _path(of, circuit, grid, y),
        stack(of.sensors.get((Spot.OUTLET, circuit), ()), (grid.after + 14, y), up=True),
        _outlet(of, circuit, grid, y),
        _drains(of, circuit, grid, y),
    ))  # fmt: skip


def _inlets(of: Scene, circuit: str, grid: Grid, y: float) -> Drawn:
    """The valves, each on its line from the supply to the manifold."""
    rows = inlets(of.plan, circuit)
    places = [_row_y(rows, number, y) for number in range(len(rows))]
    drawn = [_inlet(of, circuit, row, grid, here) for row, here in zip(rows, places, strict=True)]
    for numbers in by_supply(rows).values():
        if len(numbers) > 1:  # one line from the supply splits
            split = (grid.header, places[numbers[0]]), (grid.header, places[numbers[-1]])
            drawn.append(Drawn((), (Pipe(split, _carried(rows[numbers[0]])),)))
    if len(rows) > 1:
        manifold = (grid.manifold, places[0]), (grid.manifold, places[-1])
        drawn.append(Drawn((), (Pipe(manifold, Carries.BOTH),)))
    start = grid.manifold if rows else grid.manifold + 10
    line = Pipe(((start, y), (grid.body + 22, y)), Carries.BOTH)
    return together([*drawn, Drawn((), (line,))])


def _carried(row: Row) -> Carries:
    return Carries.AIR if row.supply.fluid == "air" else Carries.WATER


def _inlet(of: Scene, circuit: str, row: Row, grid: Grid, y: float) -> Drawn:
    valve, x = row.valve, grid.valve
    name = command(circuit, valve)
    what = f"{row.supply.fluid} from {row.supply.name}"
    part = valve_part(name, valve.name, valve, what, (x, y))
    before = Pipe(((grid.header, y), (x - 14, y)), _carried(row))
    behind = Pipe(((x + 14, y), (grid.manifold, y)), _carried(row))
    switches = limit_switches(of.sensors.get((Spot.THING, name), ()), (x, y))
    side = line_words(valve.line, x - 20, y)
    lined = Part(name, valve.line.at.own.line, f"line of {name}", names=side) if valve.line else None
    return Drawn((part, *((lined,) if lined else ())), (before, behind)) + switches


def _relief(circuit: str, relief: Relief | None, grid: Grid, y: float) -> Drawn:
    """An angle valve on a branch upwards, that blows to the outside."""
    if relief is None:
        return Drawn()
    x, top = grid.manifold + 16, y - 42
    opens = shown(relief.opens_at, "pressure", 3)
    names = lines((f"relief {opens}", *given("Kv", relief.kv, "kv")), x + 38, top)
    words = f"relief of {circuit}: opens at {opens}, to the outside"
    signs = Symbol(Sign.RELIEF, x, top), Symbol(Sign.OUTSIDE, x + 22, top)
    part = Part(f"{circuit}.relief", relief.at.own.line, words, signs, names=names)
    pipes = Pipe(((x, y), (x, top + 14)), Carries.BOTH), Pipe(((x + 14, top), (x + 22, top)), Carries.BOTH)
    return Drawn((part,), pipes)


def _path(of: Scene, circuit: str, grid: Grid, y: float) -> Drawn:
    """The path that crosses its host, with the circuit's name above all of it."""
    kind, item = of.plan.type_of(circuit), of.plan.circuits[circuit]
    left, right = grid.body + 22, grid.after - 22
    box = Box(left, y - PATH, right, y + PATH)
    sort = _sort(of, circuit, kind)
    size = lines(wrapped(path_words(kind.path), BODY - 56, Look.SMALL, 1), left + 14, y + PATH + 13)
    short = wrapped(circuit, grid.body - grid.header - 20, Look.HEAD, 1)
    name = lines(short, grid.header + 8, y - above(of, circuit) + 14, Look.HEAD)
    line = item.at.own.line
    words = f"{circuit}: {sort.value}" + (f" in {item.host}" if item.host else "")
    part = Part(circuit, line, words, areas=(Area(sort, box),), names=(*name, *size))
    wall = stack(of.sensors.get((Spot.WALL, circuit), ()), (left + 6, y + PATH))
    return Drawn((part,)) + wall


def _sort(of: Scene, circuit: str, kind: CircuitType) -> Sort:
    """Of which shape its path is: as the plan says, or a coil in a gas stream."""
    if kind.path is None:
        return Sort.CHANNEL
    if kind.path.drilled is not None:
        return Sort.DRILLED
    if kind.path.jacket is not None:
        return Sort.JACKET
    in_gas = of.plan.circuits[circuit].host in of.plan.gas_streams
    return Sort.COIL if kind.path.bank is not None or in_gas else Sort.CHANNEL


def path_words(path: Path | None) -> str:
    """`2 x 18 m, bore 14 mm`."""
    if path is None:
        return ""
    times = f"{path.passes} \N{MULTIPLICATION SIGN} " if path.passes > 1 else ""
    return f"{times}{shown(path.length, 'length', 3)}, bore {shown(path.bore, 'length', 3)}"


def _outlet(of: Scene, circuit: str, grid: Grid, y: float) -> Drawn:
    """From the path to the outside, through valves in the outlet and what else lies there."""
    kind = of.plan.type_of(circuit)
    parts, switches, stops = [], [], [grid.after - 22]
    for number, valve in enumerate(reversed(shut_offs(of.plan, circuit))):
        x = grid.outlet - OUTLET - NAMES - number * grid.slot
        name = command(circuit, valve)
        parts.append(valve_part(name, valve.name, valve, "lies in the outlet", (x, y)))
        switches.append(limit_switches(of.sensors.get((Spot.THING, name), ()), (x, y)))
        stops[1:1] = [x - 14, x + 14]
    stops += [grid.end] if kind.outlet is None else [grid.outlet - 4, grid.outlet + 4, grid.end]
    pipes = [Pipe(((a, y), (b, y)), Carries.BOTH) for a, b in zip(stops[::2], stops[1::2], strict=True)]
    end = Symbol(Sign.OUTSIDE, grid.end, y)
    if kind.outlet is None:
        part = Part(f"{circuit}.outlet", kind.at.own.line, f"outlet of {circuit}", (end,))
        return together([Drawn((*parts, part), tuple(pipes)), *switches])
    texts = ("outlet", *given("Kv", kind.outlet.kv, "kv"))
    names = lines(texts, grid.outlet + 2, y - 14, align="middle", up=True)
    to = lines(wrapped(_outside(kind), 74.0, Look.SMALL), grid.end + 15, y + 4)
    words = f"outlet of {circuit}: Kv {shown(kind.outlet.kv, 'kv', 3)}, to {_outside(kind)}"
    signs = Symbol(Sign.RESISTANCE, grid.outlet, y), end
    part = Part(f"{circuit}.outlet", kind.outlet.at.own.line, words, signs, names=(*names, *to))
    return together([Drawn((*parts, part), tuple(pipes)), *switches])


def _outside(kind: CircuitType) -> str:
    pressure = kind.outlet.pressure
    return "atmosphere" if pressure == ATMOSPHERE else shown(pressure, "pressure", 3)


def _drains(of: Scene, circuit: str, grid: Grid, y: float) -> Drawn:
    """The bypasses of the outlet, one below the other."""
    own = drains(of.plan, circuit)
    return together(_drain(of, circuit, valve, grid, y + DRAIN * number) for number, valve in enumerate(own))


def _drain(of: Scene, circuit: str, valve: Valve, grid: Grid, start: float) -> Drawn:
    """A bypass of the outlet, down from the line or from the drain before it."""
    x, here = grid.drain, start + DRAIN
    name = command(circuit, valve)
    tap: Point = (grid.after + 14, start)
    pipes = (
        Pipe((tap, (grid.after + 14, here), (x - 14, here)), Carries.BOTH),
        Pipe(((x + 14, here), (grid.end, here)), Carries.BOTH),
    )
    part = valve_part(name, valve.name, valve, "opens a bypass of the outlet", (x, here))
    end = Symbol(Sign.OUTSIDE, grid.end, here)
    drained = Part(part.of, part.line, part.words, (*part.symbols, end), names=part.names)
    return Drawn((drained,), pipes) + limit_switches(of.sensors.get((Spot.THING, name), ()), (x, here))
