"""Conduction into bodies with an inner resistance, and through the wall of the bore."""

from __future__ import annotations

import math
from collections.abc import Iterator

from attrs import evolve

from steadfall.plan.model import Heating, Inner, Link, Plan
from tests.physics.check import Check, Group, Row
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run

POWER = {"slab": 0, "cylinder": 1, "sphere": 2}
# Shape, Biot number, first eigenvalue (Incropera 6e, table 5.1)
EIGENVALUES = (
    ("slab", 0.01, 0.0998),
    ("slab", 0.1, 0.3111),
    ("slab", 0.3, 0.5218),
    ("slab", 1.0, 0.8603),
    ("slab", 5.0, 1.3138),
    ("slab", 10.0, 1.4289),
    ("slab", 100.0, 1.5552),
    ("cylinder", 0.1, 0.4417),
    ("cylinder", 1.0, 1.2558),
    ("cylinder", 10.0, 2.1795),
    ("cylinder", 100.0, 2.3809),
    ("sphere", 0.1, 0.5423),
    ("sphere", 1.0, 1.5708),
    ("sphere", 10.0, 2.8363),
    ("sphere", 100.0, 3.1102),
)
# The same table: first coefficient, of the temperature at the centre
COEFFICIENTS = (
    ("slab", 0.3, 0.5218, 1.0450),
    ("slab", 1.0, 0.8603336, 1.1191),
    ("slab", 10.0, 1.4288700, 1.2620),
    ("cylinder", 1.0, 1.2558, 1.2071),
    ("cylinder", 10.0, 2.1795, 1.5677),
    ("sphere", 1.0, 1.5708, 1.2732),
    ("sphere", 10.0, 2.8363, 1.9249),
)
# Plane wall, Fourier number: centre and surface at Biot 1, centre and surface at Biot 10; full series, 200
# terms
SERIES = {
    0.05: (0.9997509551, 0.7903767636, 0.9985296135, 0.2323262943),
    0.1: (0.9931082548, 0.7235772387, 0.9684242138, 0.1705738115),
    0.2: (0.9506417785, 0.6433907845, 0.8292547308, 0.1224822381),
    0.5: (0.7725263834, 0.5045219279, 0.4546405556, 0.0643289553),
    1.0: (0.5338594014, 0.3481768517, 0.1638176417, 0.0231720602),
}
COUNT = 20


def cooled(
    shape: str,
    size: float,
    solid: tuple[float, float, float],
    h: float,
    *,
    start: float,
    around: float,
    count: int = COUNT,
) -> Plan:
    """A body of k, density, heat capacity with a film coefficient h on its surface; temperatures in degC."""
    k, density, capacity = solid
    mass = 10.0
    area = (POWER[shape] + 1) * mass / density / size
    inner = Inner(shape, size, k, count, density)
    return plants.make(
        bodies={"load": plants.body("load", mass, start + K0, capacity, inner=inner)},
        links=(Link(("load", "ambient"), h * area),),
        ambient=around + K0,
    )


UNIT = (1.0, 1000.0, 1000.0)  # k, density, heat capacity: diffusivity 1e-6 m2/s
STEEL = (45.0, 7800.0, 45.0 / 1.4e-5 / 7800.0)
ALUMINIUM = (215.0, 2700.0, 215.0 / 8.4e-5 / 2700.0)
DEEP = (  # what, source, half thickness, shells, solid, film; start, around, expected degC, s, depth m
    (
        "steel 25 mm deep, 30 s after its face took 250 degC",
        "Holman 9e, example 4-2: 118.5",
        0.2,
        80,
        STEEL,
        1e7,
        (35.0, 250.0, 118.499, 30.0, 0.025),
    ),
    (
        "aluminium 40 mm deep under a film, after 3561 s",
        "Holman 9e, example 4-5 (about 3000 s by chart); exact",
        3.0,
        150,
        ALUMINIUM,
        525.0,
        (200.0, 70.0, 120.0, 3561.0, 0.04),
    ),
    (
        "aluminium plate of 50 mm, 12.5 mm deep after 60 s",
        "Holman 9e, example 4-6 (147.7 by chart); exact",
        0.025,
        20,
        ALUMINIUM,
        525.0,
        (200.0, 70.0, 150.44, 60.0, 0.0125),
    ),
)
SIZE = 0.01  # m: one Fourier number is 100 s


def unit_run(shape: str, biot: float) -> Run:
    """A body that falls from 1 to 0 degC."""
    return Run(cooled(shape, SIZE, UNIT, biot * UNIT[0] / SIZE, start=1.0, around=0.0), dt=0.02)


def eigenvalues() -> Iterator[Row]:
    for shape, biot, expected in EIGENVALUES:
        run = unit_run(shape, biot).go(50.0)
        early, seconds = run.see("load") - K0, 50.0
        late = run.go(seconds).see("load") - K0
        got = math.sqrt(math.log(early / late) / (UNIT[0] / (UNIT[1] * UNIT[2]) * seconds / SIZE**2))
        yield Check(
            f"decay of a {shape}, Biot {biot:g}",
            "Incropera 6e, table 5.1: first eigenvalue",
            expected,
            got,
            5e-3,
        )


def coefficients() -> Iterator[Row]:
    """Centre at a Fourier number of 0.6, where only the first term of the series is left."""
    for shape, biot, eigenvalue, expected in COEFFICIENTS:
        core = unit_run(shape, biot).go(60.0).see("load.core") - K0
        got = core * math.exp(eigenvalue**2 * 0.6)
        source = "Incropera 6e, table 5.1: first coefficient"
        yield Check(f"centre of a {shape}, Biot {biot:g}", source, expected, got, 0.02)


def series() -> Iterator[Row]:
    for first, biot in ((0, 1.0), (2, 10.0)):
        run = unit_run("slab", biot)
        for fourier, values in SERIES.items():
            run.go(100.0 * fourier - float(run.state.clock[0]))
            for where, expected in (("core", values[first]), ("surface", values[first + 1])):
                what = f"plane wall, Biot {biot:g}, Fourier {fourier:g}, {where}"
                yield Check(what, "full series, 200 terms", expected, run.see(f"load.{where}") - K0, 0.02)


def worked() -> Iterator[Row]:
    pipe = Run(cooled("slab", 0.04, (63.9, 7832.0, 434.0), 500.0, start=-20.0, around=60.0), dt=0.1).go(480)
    book = "Incropera 6e, example 5.4 (wall of 40 mm, 8 min): {}; exact"
    for where, expected, said in (("core", 43.02, "42.9"), ("surface", 45.36, "45.2")):
        yield Check(
            f"pipe wall, {where}", book.format(said), expected, pipe.see(f"load.{where}") - K0, 5e-3, "degC"
        )
    area = 10.0 / 7832.0 / 0.04
    got = -pipe.books().heat_to_ambient / area * math.pi
    yield Check("heat into a metre of that pipe of 1 m", book.format("2.73e7"), 2.7255e7, got, 5e-3, "J")
    brass = (110.0, 8530.0, 110.0 / 33.9e-6 / 8530.0)
    plate = Run(cooled("slab", 0.02, brass, 120.0, start=20.0, around=500.0), dt=0.1).go(420)
    got = plate.see("load.surface") - K0
    yield Check(
        "brass plate after 7 min", "Cengel 3e, example 4-4 (282 by chart); exact", 279.58, got, 5e-3, "degC"
    )
    steel = (14.9, 7900.0, 14.9 / 3.95e-6 / 7900.0)
    shaft = Run(cooled("cylinder", 0.1, steel, 80.0, start=600.0, around=200.0), dt=0.5).go(2700)
    got = shaft.see("load.core") - K0
    yield Check(
        "axis of a steel shaft after 45 min",
        "Cengel 3e, example 4-5 (360 by chart); exact",
        364.30,
        got,
        5e-3,
        "degC",
    )


def deep() -> Iterator[Row]:
    """Bodies so thick that their core feels nothing, and a plate, at a depth between two shells."""
    for what, source, size, count, solid, h, times in DEEP:
        start, around, expected, seconds, depth = times
        plan = cooled("slab", size, solid, h, start=start, around=around, count=count)
        run = Run(plan, dt=seconds / 3000).go(seconds)
        k = round(depth / size * count)
        got = (run.state.nodes[k - 1] + run.state.nodes[k]) / 2 - K0
        yield Check(what, source, expected, float(got), 5e-3, "degC")


def steady() -> Iterator[Row]:
    """A plate heated evenly and cooled on its faces: the parabola of a steady ramp of the same rho c
    dT/dt.
    """
    steel, size, rate = (50.0, 7850.0, 50.0 / 1.7749e-5 / 7850.0), 0.05, 10 / 60
    base = cooled("slab", size, steel, 1e3, start=20.0, around=20.0)
    body = base.bodies["load"]
    heat = Heating(rate * body.mass * body.heat_capacity)
    run = Run(evolve(base, bodies={"load": evolve(body, heating=heat)}), dt=5.0).go(3e4)
    surface, mean, core = (run.see(f"load{part}") for part in (".surface", "", ".core"))
    exact = "R L^2/(2a) and R L^2/(3a) of a steady ramp of 10 K/min, 50 mm; exact"
    yield Check("core less surface of a plate", exact, 11.74, core - surface, 5e-3, "K")
    yield Check("mean less surface of a plate", exact, 7.825, mean - surface, 5e-3, "K")


def rows() -> Iterator[Row]:
    for part in (eigenvalues, coefficients, series, worked, deep, steady):
        yield from part()


CONDUCTION = Group(
    "Conduction",
    f"Bodies with an inner resistance of {COUNT} shells against closed solutions; examples read from "
    "charts in the\n"
    "books are compared with their exact values.",
    rows,
)
