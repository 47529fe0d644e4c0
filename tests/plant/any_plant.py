"""Plausible plants of any kind and what is done with their valves, as hypothesis strategies.

Rule of this file: the ends of the ranges stand in one table; whatever the plan's checks would refuse is not
drawn. All plants are invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from attrs import evolve, frozen
from hypothesis import strategies as st

from steadfall.constants import ATMOSPHERE
from steadfall.plan.meaning.metal import touched_mass, walls_in
from steadfall.plan.model import (
    Body,
    Call,
    Circuit,
    CircuitType,
    Dose,
    FinishStep,
    GasStream,
    Goal,
    Heating,
    Inner,
    Input,
    Insulation,
    Io,
    Line,
    Link,
    Open,
    Outlet,
    Plan,
    Relief,
    Scenario,
    Shell,
    Stage,
    Step,
    Supply,
    Valve,
)
from steadfall.plan.model.condition import After, Signal
from steadfall.plan.model.equipment import Bank, Drilled, Fins, Jacket, Order, Path, Run, Segments
from steadfall.plan.model.materials import BUILT_IN
from steadfall.plan.write.whole import write
from tests.plant import plants
from tests.plant.plants import K0, KV

RANGES: Mapping[
    str, tuple[float, float]
] = {  # even over orders of magnitude; SI, Kv in m3/h, temperatures in degC
    "mass": (1.0, 50e3),
    "start": (80.0, 450.0),
    "bore": (0.004, 0.08),
    "length": (1.0, 100.0),
    "wall": (0.0005, 0.03),
    "kv": (0.05, 60.0),
    "gauge": (0.5e5, 16e5),
    "conductance": (10.0, 1e5),
    "volume": (0.1, 50.0),
    "fan": (0.05, 20.0),
    "gas_pressure": (1e5, 10e5),
}
MOST_CIRCUITS = 8
VALVES = ("small", "main", "air", "drain")


STEPS = 1000  # from one end of a range to the other


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers with few digits, as people write them."""
    return st.integers(0, STEPS).map(lambda k: float(f"{low + (high - low) * k / STEPS:.6g}"))


def even(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers with few digits, evenly over orders of magnitude."""
    return st.integers(0, STEPS).map(lambda k: float(f"{low * (high / low) ** (k / STEPS):.6g}"))


def spread(name: str) -> st.SearchStrategy[float]:
    """A number of a range, evenly over orders of magnitude."""
    return even(*RANGES[name])


def lines(length: float, bore: float, rise: float) -> st.SearchStrategy[Line]:
    """A pipe of up to that length, from that bore up, that rises or falls by up to so many metres."""
    pipes = st.builds(plants.line, between(1.0, length), between(bore, 0.1), between(-rise, rise))
    return pipes.map(lambda one: evolve(one, rated=25e5))


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A part that may be absent."""
    return st.none() | strategy


@frozen
class Case:
    """A plant, how finely it is computed, and the phases: seconds, and the valves that stand open."""

    plan: Plan
    cells: int
    step: float
    phases: tuple[tuple[float, tuple[str, ...]], ...]


@st.composite
def shells(draw: st.DrawFn, in_gas: bool) -> Shell:
    cover = draw(maybe(st.builds(Insulation, between(0.005, 0.2), between(0.03, 0.2))))
    face = draw(st.sampled_from(["upright", "up", "down"]))
    inside = draw(maybe(between(2.0, 50.0))) if in_gas else None
    return Shell(
        draw(between(0.1, 40.0)), draw(between(0.05, 4.0)), face, draw(between(0.05, 0.95)), cover, inside
    )


heatings = st.builds(Heating, between(100.0, 20e3), maybe(between(1.0, 300.0)), maybe(between(10.0, 600.0)))
inners = st.builds(
    Inner,
    st.sampled_from(["slab", "cylinder", "sphere"]),
    between(0.003, 0.2),
    between(0.2, 200.0),
    st.integers(2, 8),
    between(800.0, 9000.0),
)


segments = st.builds(
    Segments,
    st.integers(2, 6),
    between(0.1, 4.0),
    between(1e-3, 0.5),
    between(0.2, 200.0),
    st.booleans(),
)


@st.composite
def bodies(draw: st.DrawFn, name: str) -> Body:
    capacity = draw(st.sampled_from([388.0, 480.0, 900.0, 1900.0]))
    parts = {
        "inner": draw(maybe(inners)),
        "segments": draw(maybe(segments)),
        "heating": draw(maybe(heatings)),
        "shell": draw(maybe(shells(in_gas=False))),
    }
    return plants.body(name, draw(spread("mass")), draw(spread("start")) + K0, capacity, **parts)


@st.composite
def streams(draw: st.DrawFn) -> GasStream:
    sizes = (
        draw(spread("gas_pressure")),
        draw(spread("volume")),
        draw(spread("fan")),
        draw(spread("start")) + K0,
    )
    leak = draw(maybe(between(1e-4, 0.1)))
    return GasStream(
        "gas",
        draw(st.sampled_from(["air", "nitrogen"])),
        *sizes,
        draw(maybe(heatings)),
        draw(maybe(shells(in_gas=True))),
        leak,
    )


@st.composite
def supplies(draw: st.DrawFn, fluid: str) -> Supply:
    pressure = ATMOSPHERE + draw(spread("gauge"))
    temperature = draw(between(275.0, 360.0 if fluid == "water" else 320.0))
    line = draw(maybe(lines(100.0, 0.008, 3.0)))
    return Supply(
        fluid, fluid, pressure, temperature, line, draw(maybe(spread("kv").map(lambda kv: kv * KV)))
    )


@st.composite
def valves(draw: st.DrawFn, name: str, supply: str | None) -> Valve:
    travel = draw(st.sampled_from([0.01, 0.06, 0.5, 3.0]))
    kv = draw(spread("kv")) * KV
    line = draw(maybe(lines(50.0, 0.006, 3.0)))
    return Valve(name, supply, kv, travel, 0, 0, "shut", None, None, line if supply else None)


@st.composite
def banks(draw: st.DrawFn, diameter: float) -> Bank:
    fins = None
    if draw(st.booleans()):
        height = draw(between(0.2, 0.7)) * diameter
        fins = Fins(0.0025, height, 0.0004, draw(between(15.0, 220.0)))
    tip = diameter + 2.0 * (fins.height if fins else 0.0)
    across, along = (draw(between(1.2, 3.0)) * tip for _ in range(2))
    return Bank(
        draw(st.integers(1, 25)),
        draw(st.integers(1, 20)),
        across,
        along,
        draw(st.sampled_from(["staggered", "in_line"])),
        fins,
    )


@st.composite
def paths(draw: st.DrawFn, in_gas: bool) -> Path:
    bore = draw(spread("bore"))
    wall, length = min(draw(spread("wall")), 3.0 * bore), max(draw(spread("length")), 10.0 * bore)
    outside = bore + 2.0 * wall
    conductance, drilled, jacket, bank = draw(maybe(spread("conductance"))), None, None, None
    if conductance is None and in_gas:
        bank = draw(banks(outside))
    elif conductance is None and draw(st.booleans()):
        metal = draw(between(0.003, 0.1))
        jacket = Jacket(draw(between(0.05, 5.0)), metal, draw(maybe(between(1.1 * metal, 2.0))))
    elif conductance is None:
        drilled = Drilled(draw(between(1.1, 6.0)) * outside, draw(between(0.8, 6.0)) * outside)
    ends = length, draw(st.integers(1, 12)), wall, draw(st.sampled_from(sorted(BUILT_IN)))
    more = draw(st.integers(0, 40)), draw(st.sampled_from([1e-5, 5e-5, 3e-4]))
    return Path(bore, *ends, conductance, *more, drilled=drilled, bank=bank, jacket=jacket)


@st.composite
def kinds(draw: st.DrawFn, name: str, in_gas: bool) -> CircuitType:
    outlet = Outlet(draw(spread("kv")) * KV, draw(st.sampled_from([ATMOSPHERE, ATMOSPHERE, 3e5])))
    fed = [
        draw(valves(valve, supply))
        for valve, supply in zip(VALVES, ("water", "water", "air", None), strict=True)
    ]
    relief = draw(maybe(st.builds(Relief, between(3.5e5, 15e5), spread("kv").map(lambda kv: kv * KV))))
    named = {valve.name: valve for valve in fed}
    return CircuitType(name, draw(paths(in_gas)), outlet, 11e5, named, (), (), 0, "idle", relief)


@st.composite
def any_plant(draw: st.DrawFn) -> Plan:
    """One to eight circuits on bodies and on a gas stream, which are linked in a row and to ambient."""
    blocks = {f"body{k}": draw(bodies(f"body{k}")) for k in range(draw(st.integers(1, 3)))}
    gas = {"gas": draw(streams())} if draw(st.booleans()) else {}
    row = [*blocks, *gas, "ambient"]
    links = tuple(
        Link(pair, conductance)
        for pair in pairwise(row)
        if (conductance := draw(maybe(spread("conductance")))) is not None
    )
    hosts = [draw(st.sampled_from([*blocks, *gas])) for _ in range(draw(st.integers(1, MOST_CIRCUITS)))]
    types = {f"kind{k}": draw(kinds(f"kind{k}", host in gas)) for k, host in enumerate(hosts)}
    plan = plants.make(
        ambient=draw(between(258.0, 318.0)),
        supplies={fluid: draw(supplies(fluid)) for fluid in ("water", "air")},
        materials={**BUILT_IN, plants.STEEL.name: plants.STEEL},
        bodies=blocks,
        gas_streams=gas,
        links=links,
        circuit_types=types,
        circuits={f"c{k}": Circuit(f"c{k}", f"kind{k}", host) for k, host in enumerate(hosts)},
    )
    return with_tubes(draw(with_ways(plan)), draw(st.booleans()))


@st.composite
def with_ways(draw: st.DrawFn, plan: Plan) -> Plan:
    """The plan with passes that run out or back over the parts of a body in segments."""
    found = {}
    for circuit in plan.circuits.values():
        kind, body = plan.circuit_types[circuit.type], plan.bodies.get(circuit.host)
        if body is not None and body.segments is not None:
            runs = [draw(st.sampled_from(list(Order))) for _ in range(2 - kind.path.passes % 2)]
            kind = evolve(kind, path=evolve(kind.path, way=tuple(Run(order) for order in runs)))
        found[kind.name] = kind
    return evolve(plan, circuit_types=found)


def with_tubes(plan: Plan, every: bool) -> Plan:
    """The plan with walls on top of their bodies: all of them, or those that a body could not hold."""
    kinds = dict(plan.circuit_types)
    for circuit in plan.circuits.values():
        body = plan.bodies.get(circuit.host)
        if every or (body is not None and max(walls_in(plan, body.name)) >= touched_mass(body)):
            path = evolve(kinds[circuit.type].path, wall_in_body=False)
            kinds[circuit.type] = evolve(kinds[circuit.type], path=path)
    return evolve(plan, circuit_types=kinds)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """A plant and some minutes of doses, streams, blow-outs and rests, most of them in all circuits at
    once.
    """
    plan = draw(any_plant())
    open_ones = st.sets(st.sampled_from(VALVES)) | st.sets(
        st.sampled_from([f"{name}.{valve}" for name in plan.circuits for valve in VALVES])
    )
    seconds = even(0.1, 20.0)
    phases = draw(
        st.lists(st.tuples(seconds, open_ones.map(lambda some: tuple(sorted(some)))), min_size=4, max_size=20)
    )
    cells, step = draw(st.sampled_from([8, 20, 40])), draw(st.sampled_from([0.01, 0.02, 0.05, 0.1]))
    return Case(plan, cells, step, tuple(phases))


@frozen
class Told:
    """A plan as text, with the scenario to run."""

    text: str
    cells: int
    step_ms: int


SCENARIO = "some minutes"
WATER_VALVES, FINISH_VALVES = VALVES[:2], VALVES[2:]
RAISED = 5e5  # Pa, a supply above this gets over any outlet and height that is drawn


def actions(travel: float) -> st.SearchStrategy[Open | Dose]:
    """Open, or doses that last at least as long as the valve takes to open."""
    opened = st.integers(1, 60).map(lambda n: 100 * n + round(1000 * travel))
    return st.just(Open()) | st.builds(Dose, opened, opened, st.sampled_from(["restart", "free"]))


@st.composite
def sequences(draw: st.DrawFn, kind: CircuitType) -> CircuitType:
    """The circuit type with one to four stages of doses and streams, and perhaps a finish."""
    count = draw(st.integers(1, 4))
    stages = []
    for k in range(count):
        named = sorted(draw(st.sets(st.sampled_from(VALVES), min_size=1)))
        done = {name: draw(actions(kind.valves[name].travel)) for name in named}
        climb = After(1000 * draw(st.integers(2, 60))) if k < count - 1 else None
        stages.append(Stage(f"stage{k}" if k < count - 1 else "full", done, climb))
    finish = []
    if draw(st.booleans()):
        finish.append(
            FinishStep("blow", {name: Open() for name in FINISH_VALVES}, 1000 * draw(st.integers(1, 40)))
        )
    return evolve(kind, stages=tuple(stages), finish=tuple(finish), rated=17e5)


@st.composite
def told_plans(draw: st.DrawFn) -> Told:
    """A whole plan: every circuit called from the start to its last stage, for some minutes, then let go."""
    plan = draw(any_plant())
    water = plan.supplies["water"]
    if water.pressure < RAISED:
        plan = evolve(plan, supplies={**plan.supplies, "water": evolve(water, pressure=water.pressure + 4e5)})
    end = draw(st.integers(20, 150)) * 1000
    steps = (Step(0, {"call": 1.0}), Step(end, {"call": 0.0}))
    whole = evolve(
        plan,
        title="any plant",
        circuit_types={name: draw(sequences(kind)) for name, kind in plan.circuit_types.items()},
        inputs={"call": Input("call", "switch")},
        calls=(Call(Signal("call"), "full", tuple(plan.circuits)),),
        goals=(Goal("body0", "below", 300.0, 1800.0, "body0 below 300 K"),),
        scenarios={SCENARIO: Scenario(SCENARIO, steps, end + 30_000, end + 60_000)},
        io=Io(),
    )
    return Told(write(whole), draw(st.sampled_from([8, 20])), draw(st.sampled_from([20, 40])))
