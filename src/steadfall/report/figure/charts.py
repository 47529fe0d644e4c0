"""From a prediction to its charts: temperatures, walls, pressures, flows, each with what it must keep to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import cycle

from attrs import evolve

from steadfall.plan.meaning.names import quantities, segment
from steadfall.plan.meaning.plant import plant_side
from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import (
    AIR_FLOW,
    CIRCUIT_PRESSURE,
    FLOW,
    MASS,
    PRESSURE,
    TEMPERATURE,
    WATER_FLOW,
    clock,
    reading,
)
from steadfall.report.figure.curves import (
    bare,
    curve,
    flow,
    set_points,
    survey_bands,
    temperatures,
    wall,
    water_used,
)
from steadfall.report.figure.marks import Balloon, Rule, Zone
from steadfall.report.figure.panel import Panel
from steadfall.report.figure.scale import Scale
from steadfall.report.figure.series import Series
from steadfall.report.words.items import Item, goal_items, limit_items
from steadfall.report.words.names import spoken

TALL = 236.0  # px: the chart of temperatures
HEIGHTS = {1: 130.0, 2: 112.0, 3: 92.0, 4: 80.0}  # px of a circuit's chart, by the number of circuits
LOWEST = 64.0  # px of a circuit's chart when there are more
LINES = "abcdefgh"


def panels(prediction: Prediction) -> tuple[Panel, ...]:
    """Every chart of the prediction, in the order of the sheet."""
    first = (temperature_panel(prediction), *part_panels(prediction))
    walls, pressures, waters = circuit_panels(prediction, 0, prediction.end_ms)
    last = (air_panel(prediction), used_panel(prediction), *demand_panels(prediction))
    last = (*last, *set_panels(prediction))
    drawn = (*first, *walls, *pressures, *waters, *last)
    marked = {balloon.number for panel in drawn for balloon in panel.balloons}
    return tuple(panel for panel in (*drawn, *other_panels(prediction, marked)) if panel.series)


def circuit_panels(prediction: Prediction, start_ms: int, end_ms: int) -> tuple[tuple[Panel, ...], ...]:
    """Walls, pressures and water flows, a chart per circuit, those of one kind on one scale."""
    x = Scale(start_ms, end_ms, 0.0, 1.0)
    circuits = tuple(plant_side(prediction.plan).circuits)
    kinds = (wall_panel, pressure_panel, water_panel)
    return tuple(_level_with_each_other([kind(prediction, name) for name in circuits], x) for kind in kinds)


def temperature_panel(prediction: Prediction) -> Panel:
    """Bodies and gas, with goals, limits on their values, and the ranges in which a rate is limited."""
    odds = survey_bands(prediction)
    series = (*temperatures(prediction), *set_points(prediction), *odds)
    bands = (
        ", shaded from surface to core"
        if any(one.low is not None for one in temperatures(prediction))
        else ""
    )
    bands += f"; dashed: 5 to 95 % of {prediction.bands.runs} runs" if prediction.bands is not None else ""
    return evolve(
        _held_to(prediction, f"Bodies and gas, {prediction.units.of(TEMPERATURE).symbol}{bands}", series),
        height=max(TALL, 15.0 * (len(series) - len(odds))),
        zones=_zones(prediction, _shown(series)),
    )


def part_panels(prediction: Prediction) -> tuple[Panel, ...]:
    """The parts of each body in segments, one curve each."""
    found = []
    for name, body in prediction.plan.bodies.items():
        if body.parts > 1:
            looks = cycle(LINES)
            each = [
                bare(curve(prediction, segment(name, k), f"segment {k}", next(looks)))
                for k in range(1, body.parts + 1)
            ]
            series = tuple(one for one in each if one is not None)
            title = f"Segments of {spoken(name)}, {prediction.units.of(TEMPERATURE).symbol}"
            found.append(evolve(_held_to(prediction, title, series), height=max(LOWEST, 15.0 * len(series))))
    return tuple(found)


def wall_panel(prediction: Prediction, circuit: str) -> Panel:
    """The wall of one circuit from its coldest to its hottest place."""
    title = f"Wall of {spoken(circuit)}, coldest to hottest, {prediction.units.of(TEMPERATURE).symbol}"
    panel = _held_to(prediction, title, wall(prediction, circuit))
    return evolve(panel, moments=_stage_changes(prediction, circuit))


def pressure_panel(prediction: Prediction, circuit: str) -> Panel:
    """The pressure in one circuit, with its rating, its limits and the pressure of its water supply."""
    series = curve(prediction, CIRCUIT_PRESSURE.named(circuit), "pressure", "a")
    title = f"Pressure in {spoken(circuit)}, {prediction.units.of(PRESSURE).symbol}"
    panel = _held_to(prediction, title, () if series is None else (series,))
    rules = (*panel.rules, *_ratings(prediction, circuit))
    return evolve(panel, rules=rules, floor=0.0, moments=_stage_changes(prediction, circuit))


def water_panel(prediction: Prediction, circuit: str) -> Panel:
    """Water into one circuit."""
    series = flow(prediction, circuit, WATER_FLOW, "w")
    return evolve(
        _held_to(
            prediction,
            f"Water into {spoken(circuit)}, {prediction.units.of(FLOW).symbol}",
            () if series is None else (evolve(series, label="water"),),
        ),
        floor=0.0,
        moments=_stage_changes(prediction, circuit),
    )


def air_panel(prediction: Prediction) -> Panel:
    """Air into all circuits."""
    circuits = tuple(prediction.plan.circuits)
    found = [flow(prediction, name, AIR_FLOW, look) for name, look in zip(circuits, LINES * 9, strict=False)]
    series = tuple(one for one in found if one is not None)
    panel = _held_to(prediction, f"Air into each circuit, {prediction.units.of(FLOW).symbol}", series)
    return evolve(panel, floor=0.0, height=max(LOWEST, 15.0 * len(series)))


def used_panel(prediction: Prediction) -> Panel:
    """Water used since the start, circuit by circuit."""
    circuits = tuple(prediction.plan.circuits)
    found = [water_used(prediction, name, look) for name, look in zip(circuits, LINES * 9, strict=False)]
    series = tuple(one for one in found if one is not None)
    return Panel(
        f"Water used so far, {prediction.units.of(MASS).symbol}",
        series,
        max(LOWEST, 15.0 * len(series)),
        floor=0.0,
    )


def demand_panels(prediction: Prediction) -> tuple[Panel, ...]:
    """Cooling demand in percent: ramps and percent inputs."""
    plan = prediction.plan
    names = [*plan.ramps, *(name for name, one in plan.inputs.items() if one.kind == "percent")]
    found = [
        curve(prediction, name, spoken(name), look) for name, look in zip(names, LINES * 9, strict=False)
    ]
    series = tuple(one for one in found if one is not None)
    return (Panel("Cooling demand, %", series, max(LOWEST, 15.0 * len(series)), floor=0.0, roof=100.0),)


def set_panels(prediction: Prediction) -> tuple[Panel, ...]:
    """Temperatures and pressures that nothing of the plant stands behind: what the scenario sets."""
    found = []
    for dimension in ("temperature", "pressure"):
        own = [
            one.name
            for one in prediction.plan.inputs.values()
            if one.kind == dimension and one.measures is None
        ]
        drawn = [
            curve(prediction, name, spoken(name), look) for name, look in zip(own, cycle(LINES), strict=False)
        ]
        series = tuple(one for one in drawn if one is not None)
        symbol = prediction.units.of(reading(dimension, "")).symbol
        title = f"{dimension.capitalize()} as the scenario sets it, {symbol}"
        found.append(Panel(title, series, max(LOWEST, 15.0 * len(series))))
    return tuple(found)


def other_panels(prediction: Prediction, marked: set[int]) -> tuple[Panel, ...]:
    """A chart for each quantity that has a limit or goal but no mark on another chart."""
    made: dict[str, Panel] = {}
    known = quantities(prediction.plan)
    for item in (*limit_items(prediction), *goal_items(prediction)):
        if item.number in marked or item.time_ms is None or item.of in made:
            continue
        owner, what = known[item.of].owner, known[item.of].quantity.end
        series = curve(prediction, item.of, spoken(what or owner), "a")
        if series is not None:
            words = spoken(f"{owner}: {what}" if what else owner)
            made[item.of] = _held_to(prediction, f"{words}, {series.symbol}".rstrip(", "), (series,))
    return tuple(made.values())


def _shown(series: Iterable[Series]) -> set[str]:
    return {name for one in series for name in one.shows}


def _held_to(prediction: Prediction, title: str, series: tuple[Series, ...]) -> Panel:
    """A chart with the limits, goals and balloons of what its curves show."""
    names = _shown(series)
    count = len(prediction.plan.circuits)
    items = [item for item in (*limit_items(prediction), *goal_items(prediction)) if item.of in names]
    return Panel(
        title=title,
        series=series,
        height=HEIGHTS.get(count, LOWEST),
        rules=(*_limit_rules(prediction, names), *_goal_rules(prediction, names)),
        balloons=tuple(balloon for item in items for balloon in _balloon(item, series)),
    )


def _limit_rules(prediction: Prediction, names: set[str]) -> Iterable[Rule]:
    for item, result in zip(limit_items(prediction), prediction.limits, strict=True):
        limit = result.limit
        if limit.of in names and limit.measure == "value":
            words = f"limit {item.number}: {limit.bound.replace('_', ' ')} {item.reading.text(limit.value)}"
            yield Rule(item.reading.of(limit.value), words, "limit", broken=not result.kept)


def _goal_rules(prediction: Prediction, names: set[str]) -> Iterable[Rule]:
    for item, result in zip(goal_items(prediction), prediction.goals, strict=True):
        goal = result.goal
        if goal.of in names:
            until = round(goal.within * 1000)
            words = f"goal {item.number}: {goal.bound} {item.reading.text(goal.value)} by {clock(until)}"
            yield Rule(item.reading.of(goal.value), words, "goal", until, broken=not result.kept)


def _zones(prediction: Prediction, names: set[str]) -> tuple[Zone, ...]:
    found = []
    for item, result in zip(limit_items(prediction), prediction.limits, strict=True):
        limit = result.limit
        if limit.of in names and limit.between is not None:
            upper, lower = (item.reading.of(value) for value in limit.between)
            found.append(Zone(lower, upper, f"limit {item.number} applies in this range"))
    return tuple(found)


def _ratings(prediction: Prediction, circuit: str) -> Iterable[Rule]:
    plan = prediction.plan
    kind, pressure = plan.type_of(circuit), prediction.units.of(PRESSURE)
    yield Rule(pressure.of(kind.rated), f"rated {pressure.text(kind.rated)}", "rating")
    if kind.relief is not None:
        yield Rule(
            pressure.of(kind.relief.opens_at),
            f"relief opens at {pressure.text(kind.relief.opens_at)}",
            "rating",
        )
    for name in dict.fromkeys(valve.supply for valve in kind.valves.values()):
        supply = plan.supplies.get(name or "")
        if supply is not None and supply.fluid == "water":
            words = f"{spoken(supply.name)} {pressure.text(supply.pressure)}"
            yield Rule(pressure.of(supply.pressure), words, "supply")


def _balloon(item: Item, series: Sequence[Series]) -> Iterable[Balloon]:
    """The worst moment on the curve that the item speaks of: its value, or for a rate the place on the
    curve.
    """
    own = next((one for one in series if item.of in one.shows), None)
    if item.time_ms is None or own is None:
        return
    value = own.at(item.time_ms) if item.value is None else item.reading.of(item.value)
    yield Balloon(item.number, item.time_ms, float(value), not item.kept, item.words)


def _stage_changes(prediction: Prediction, circuit: str) -> tuple[int, ...]:
    return tuple(
        moment.time_ms for moment in prediction.moments if moment.circuit == circuit and moment.time_ms > 0
    )


def _level_with_each_other(alike: Sequence[Panel], x: Scale) -> tuple[Panel, ...]:
    """Charts of one kind on one scale, so that circuits can be compared by eye."""
    scales = [panel.scale(0.0, x) for panel in alike if panel.series]
    if not scales:
        return ()
    floor, roof = min(scale.low for scale in scales), max(scale.high for scale in scales)
    return tuple(evolve(panel, floor=floor, roof=roof) for panel in alike)
