"""Small plants for the tests, built straight from the data classes; all numbers are invented unless said
otherwise. Walls come on top of their bodies, so that a body's mass is the node's.
"""

from __future__ import annotations

import math
from typing import Any

from attrs import evolve

from steadfall.constants import ATMOSPHERE, ZERO_CELSIUS
from steadfall.plan.model import (
    Body,
    Circuit,
    CircuitType,
    GasStream,
    Heating,
    Inner,
    Insulation,
    Line,
    Link,
    Material,
    Outlet,
    Path,
    Plan,
    Relief,
    Scan,
    Shell,
    Supply,
    Valve,
)
from steadfall.plan.model.equipment import Bank

K0 = ZERO_CELSIUS
BAR = 1e5
KV = 1 / 3600.0  # m3/s in 1 m3/h
STEEL = Material("carbon steel", 7850.0, 480.0, 45.0, 12e-6, 200e9, 0.3)


def make(**parts: Any) -> Plan:
    """A plan with nothing but what is given."""
    empty: dict[str, Any] = {
        "title": "test",
        "revised": "",
        "scan": Scan(20, 40, 10),
        "ambient": 293.15,
        "supplies": {},
        "materials": {STEEL.name: STEEL},
        "bodies": {},
        "gas_streams": {},
        "links": (),
        "circuit_types": {},
        "circuits": {},
        "inputs": {},
        "ramps": {},
        "calls": (),
        "permissives": (),
        "trips": (),
        "limits": (),
        "goals": (),
        "scenarios": {},
        "requirements": (),
        "io": None,
    }
    return Plan(**{**empty, **parts})


def body(name: str, mass: float, start: float, heat_capacity: float = 480.0, **more: Any) -> Body:
    return Body(name, mass, heat_capacity, start, **more)


def valve(name: str, supply: str | None, kv: float, travel: float = 0.1) -> Valve:
    return Valve(name, supply, kv * KV, travel, 0, 0, "shut", None)


def circuit_type(
    *,
    bore: float = 0.012,
    length: float = 18.0,
    passes: int = 2,
    wall: float = 0.0105,
    host: float = 20e3,
    outlet: float = 6.0,
    back: float = ATMOSPHERE,
    valves: tuple[Valve, ...] | None = None,
    relief: Relief | None = None,
    bends: int = 13,
    roughness: float = 1e-5,
    in_body: bool = False,
) -> CircuitType:
    if valves is None:
        valves = (
            valve("small", "water", 0.15),
            valve("main", "water", 4.0, 0.5),
            valve("air", "air", 0.3),
        )
    size = bore, length, passes, wall
    path = Path(*size, STEEL.name, host, bends, roughness, wall_in_body=in_body)
    return CircuitType(
        "kind",
        path,
        Outlet(outlet * KV, back),
        11e5,
        {v.name: v for v in valves},
        (),
        (),
        0,
        "idle",
        relief,
    )


def platen(start: float = 190 + K0, mass: float = 800.0, **kind: Any) -> Plan:
    """One drilled platen with one circuit: 5 bar abs water at 15 degC, 6 bar abs air."""
    return make(
        supplies={
            "water": Supply("water", "water", 5e5, 288.15),
            "air": Supply("air", "air", 6e5, 293.15),
        },
        bodies={"platen": body("platen", mass, start)},
        links=(Link(("platen", "ambient"), 8.0),),
        circuit_types={"kind": circuit_type(**kind)},
        circuits={"upper": Circuit("upper", "kind", "platen")},
    )


def oven(start: float = 220 + K0, load: float = 600.0, **kind: Any) -> Plan:
    """A load in a gas stream that a coil cools."""
    more = {"bore": 0.021, "length": 20.0, "wall": 0.0025, "host": 1200.0, **kind}
    return make(
        supplies={
            "water": Supply("water", "water", 5e5, 288.15),
            "air": Supply("air", "air", 6e5, 293.15),
        },
        bodies={"load": body("load", load, start)},
        gas_streams={"gas": GasStream("gas", "air", ATMOSPHERE, 6.0, 2.2, start)},
        links=(Link(("gas", "load"), 400.0), Link(("load", "ambient"), 8.0)),
        circuit_types={"kind": circuit_type(**more)},
        circuits={"coil": Circuit("coil", "kind", "gas")},
    )


def line(length: float = 14.0, bore: float = 0.0216, elevation: float = 0.0) -> Line:
    """A steel pipe with a wall of 2.6 mm, rated for 16 barg."""
    return Line(length, bore, 0.0026, STEEL.name, 17e5, elevation)


def everything() -> Plan:
    """Every key of the plant at once: shared supplies and lines, losses, heating, inner resistance, a tube
    bank.
    """
    base = oven()
    valves = (
        valve("small", "water", 0.15),
        evolve(valve("main", "water", 4.0, 0.5), line=line(elevation=2.0)),
        valve("air", "air", 0.3),
        valve("drain", None, 2.0),
    )
    coil = circuit_type(bore=0.021, length=20.0, wall=0.0025, valves=valves, relief=Relief(6e5, 5e-4))
    path = evolve(coil.path, host_conductance=None, bank=Bank(4, 10, 0.06, 0.052, "staggered"))
    hall = Shell(14.0, 2.0, "upright", 0.3, Insulation(0.08, 0.05), 15.0)
    return evolve(
        base,
        supplies={
            "water": Supply("water", "water", 5e5, 288.15, line(30.0, 0.03, 1.0), 6 * KV),
            "air": Supply("air", "air", 6e5, 293.15, None, 0.5 * KV),
        },
        bodies={
            "load": body(
                "load", 600.0, 493.15, inner=Inner("slab", 0.015, 0.6, 4, 1800.0), heating=Heating(300.0)
            ),
            "platen": body(
                "platen",
                300.0,
                463.15,
                heating=Heating(4e3, 900.0, 600.0),
                shell=Shell(2.0, 0.4, "up", 0.8),
            ),
        },
        gas_streams={
            "gas": evolve(base.gas_streams["gas"], shell=hall, leak=0.02, heating=Heating(500.0, 60.0))
        },
        links=(Link(("gas", "load"), 400.0), Link(("load", "platen"), 20.0)),
        circuit_types={"coil": evolve(coil, path=path), "kind": circuit_type(valves=valves)},
        circuits={"coil": Circuit("coil", "coil", "gas"), "upper": Circuit("upper", "kind", "platen")},
    )


def bore_area(plan: Plan) -> float:
    """Flow area of the first circuit type, m2."""
    path = next(iter(plan.circuit_types.values())).path
    return path.passes * math.pi * path.bore**2 / 4
