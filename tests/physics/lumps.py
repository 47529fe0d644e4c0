"""Lumped bodies and exchangers, run through the plant's own network and circuits."""

from __future__ import annotations

import math
from collections.abc import Iterator

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import Circuit, GasStream, Link, Plan, Supply
from steadfall.plant import fields as f
from steadfall.plant.grid.bodies import GAS
from steadfall.plant.law import properties as p
from tests.physics.check import Check, Group, Row
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run

CROSSED = (  # transfer units, C_min/C_max, gas in degC; effectiveness of the book, how near, where
    (
        2.1,
        0.45,
        300.0,
        0.7547,
        0.06,
        "Incropera 6e, example 11.3: 0.75 with both unmixed; ours has the water mixed",
    ),
    (
        2.67,
        0.357,
        250.0,
        0.8358,
        0.08,
        "Incropera 6e, example 11.4: 0.82 with both unmixed (0.836 computed); ours has the water mixed",
    ),
)


def lump(
    density: float, diameter: float, heat_capacity: float, h: float, start: float, around: float
) -> Plan:
    """A sphere in a stream; temperatures in degC."""
    mass, area = density * math.pi * diameter**3 / 6, math.pi * diameter**2
    ball = plants.body("ball", mass, start + K0, heat_capacity)
    return plants.make(
        bodies={"ball": ball}, links=(Link(("ball", "ambient"), h * area),), ambient=around + K0
    )


def time_to(run: Run, name: str, celsius: float, step: float) -> float:
    """Time in s until an observed quantity has fallen or risen to a temperature, between steps by a straight
    line.
    """
    target, before = celsius + K0, run.see(name)
    sign = 1.0 if before < target else -1.0
    while sign * (target - before) > 0:
        last = before
        before = run.go(step).see(name)
    return float(run.state.clock[0]) - step * (before - target) / (before - last)


def lumped() -> Iterator[Row]:
    ball = Run(lump(7800.0, 0.05, 460.0, 10.0, 450.0, 100.0), dt=1.0)
    book = "Holman 9e, example 4-1: 5819"
    yield Check(
        "steel ball from 450 to 150 in 100 degC", book, 5818.3, time_to(ball, "ball", 150.0, 10.0), 1e-3, "s"
    )
    thermocouple = Run(lump(8500.0, 0.001, 320.0, 210.0, 100.0, 0.0), dt=0.005)
    got = time_to(thermocouple, "ball", 1.0, 0.05)
    yield Check(
        "junction of 1 mm to 1 % of its difference", "Cengel 3e, example 4-1: 10", 9.941, got, 3e-3, "s"
    )
    junction = Run(lump(8500.0, 7.0588e-4, 400.0, 400.0, 25.0, 200.0), dt=0.002)
    got = time_to(junction, "ball", 199.0, 0.02)
    yield Check(
        "junction of 0.706 mm from 25 to 199 in 200 degC",
        "Incropera 6e, example 5.1: 5.2",
        5.165,
        got,
        3e-3,
        "s",
    )


def coil(ua: float, gas_flow: float, gas: float) -> Plan:
    """Water of 35 degC through a coil in so much gas that it stays as hot as it is; bore and wall hardly
    resist.
    """
    specific, capacity = GAS["air"]
    fan = gas_flow * specific * (gas + K0) / (ATMOSPHERE * capacity)
    kind = plants.circuit_type(
        bore=0.012,
        length=40.0,
        passes=8,
        wall=0.0005,
        host=ua,
        outlet=10.0,
        back=6e5,
        bends=0,
        valves=(plants.valve("main", "water", 2.2),),
    )
    return plants.make(
        supplies={"water": Supply("water", "water", 10e5, 308.15)},
        gas_streams={"gas": GasStream("gas", "air", ATMOSPHERE, 1e6, fan, gas + K0)},
        circuit_types={"kind": kind},
        circuits={"coil": Circuit("coil", "kind", "gas")},
    )


def conductance(run: Run) -> float:
    """W/K from host to water over the whole circuit: host, shells, skin and film in series, cell by cell."""
    constants, cells = run.grid.constants, run.state.cells[0]
    film = (cells[:, f.SKIN] - cells[:, f.TL]) / run.state.work[:, f.N_QL]
    solid = (
        1 / constants.circuit[0, f.G_HOST]
        + (1 / constants.shell_link[0]).sum()
        + constants.circuit[0, f.R_SKIN]
    )
    return float((cells[:, f.SIZE] / (solid + film)).sum())


def crossed(ntu: float, ratio: float, celsius: float) -> Run:
    """A coil in gas at so many transfer units and heat capacity flows of gas over water, once steady.

    The conductance to the host is set so that host, wall and film together have it: a first run says what
    wall and film take.
    """
    water = Run(coil(1000.0, 1000.0, celsius), dt=0.1).go(200, "main").see("coil.water_flow") * p.C_L
    whole = host = ntu * ratio * water
    for _ in range(3):
        run = Run(coil(host, ratio * water, celsius), cells=80, dt=0.1).go(400, "main")
        host = 1 / (1 / whole - (1 / conductance(run) - 1 / host))
    return run


def gas_flow(run: Run) -> float:
    """W/K of the gas."""
    return float(run.grid.constants.stream_flow[0] / run.state.nodes[0])


def crossflow() -> Iterator[Row]:
    """Incropera 11.3: gas 300 to 100, water 35 to 125 degC; 11.4: 1.5 kg/s of gas at 250 degC.

    One side mixed, the other not: e = (1 - exp(-r (1 - exp(-NTU))))/r (Incropera 6e, eq. 11.33, from memory).
    """
    for ntu, ratio, celsius, both, within, source in CROSSED:
        run = crossed(ntu, ratio, celsius)
        gas, water = gas_flow(run), run.see("coil.water_flow") * p.C_L
        got = run.see("coil.heat") / (gas * (run.state.nodes[0] - 308.15))
        r, reached = gas / water, conductance(run) / gas
        closed = (1 - math.exp(-r * (1 - math.exp(-reached)))) / r
        what = f"effectiveness, gas across a coil, NTU {reached:.2f}, ratio {r:.2f}"
        yield Check(what, "water mixed, gas not: closed solution", closed, got, 0.02)
        yield Check(what, source, both, got, within)


def one_side() -> Iterator[Row]:
    """A heavy host as the side that keeps its temperature: e = 1 - exp(-NTU)."""
    run = Run(plants.platen(90 + K0, mass=1e7, host=800.0), cells=160, dt=0.5).go(4000, "small")
    water = run.see("upper.water_flow") * p.C_L
    out, host = run.see("upper.outlet_temperature"), float(run.state.nodes[0])
    expected = 1 - math.exp(-conductance(run) / water)
    got = (out - 288.15) / (host - 288.15)
    yield Check("effectiveness, host of one temperature", "1 - exp(-NTU), exact", expected, got, 0.01)


def water_budget() -> Iterator[Row]:
    """Every circuit's heat is what its water carries away."""
    run = Run(plants.platen(80 + K0, mass=1e6), dt=0.05).go(200, "main")
    carried = run.see("upper.water_flow") * p.C_L * (run.see("upper.outlet_temperature") - 288.15)
    yield Check("duty of a steady stream", "m c (T_out - T_in)", carried, run.see("upper.heat"), 1e-3, "W")
    start = float(run.grid.constants.capacity[0]) * (80 + K0 - run.see("platen"))
    taken = run.books().heat_from_hosts + run.books().heat_to_ambient
    yield Check("heat that left the host", "m c (T_start - T_now)", start, taken, 1e-6, "J")


def rows() -> Iterator[Row]:
    for part in (lumped, one_side, crossflow, water_budget):
        yield from part()


LUMPS = Group(
    "Lumped bodies and exchangers",
    "Run through the plant's kernel as a plan would be: bodies, links, circuits, gas streams.",
    rows,
)
