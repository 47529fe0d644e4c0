"""Circuits in limiting cases that have a closed answer, and the books of whole cool-downs."""

from __future__ import annotations

import math
from collections.abc import Iterator

from attrs import evolve
from CoolProp.CoolProp import PropsSI

from steadfall.constants import ATMOSPHERE, WATER, G
from steadfall.plan.model import Plan
from steadfall.plant import fields as f
from tests.physics.check import Behaviour, Check, Group, Row
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run


def slow_dose(celsius: float) -> Run:
    """8 g of water of 15 degC in 5 s into a hot bore, until all of it is steam as hot as the wall."""
    kv = 0.0016 / 1000 / math.sqrt(4) * 3600
    valves = (plants.valve("dose", "water", kv),)
    return Run(plants.platen(celsius + K0, mass=1e5, valves=valves)).go(5, "dose").go(200)


def doses() -> Iterator[Row]:
    source = "IAPWS-95: h_v(wall, 1 atm) - h_l(15 degC)"
    for celsius in (150.0, 200.0, 250.0, 350.0):
        book = slow_dose(celsius).books().circuits["upper"]
        enthalpy = PropsSI("H", "T", celsius + K0, "P", ATMOSPHERE, "Water") - PropsSI(
            "H", "T", 288.15, "P", 5e5, "Water"
        )
        taken = (book.heat_to_liquid + book.heat_to_gas) / book.water_in
        what = f"heat that an evaporated dose takes from a wall of {celsius:g} degC"
        yield Check(what, source, enthalpy / 1e3, taken / 1e3, 0.015, "kJ/kg")


def gas() -> Iterator[Row]:
    run = Run(plants.platen(293.15, mass=1e6, outlet=1e-9))
    run.state.nodes[0] = 473.15
    run.state.cells[:, :, f.W0 :] = 473.15
    got = run.go(300).see("upper.pressure")
    yield Check("air heated from 20 to 200 degC", "gas law, shut outlet", 163_540.0, got, 1e-3, "Pa")


def cold() -> float:
    """Density of the water as it comes in, kg/m3."""
    return float(PropsSI("D", "T", 288.15, "P", 3e5, "Water"))


def stream() -> Iterator[Row]:
    run = Run(plants.platen(start=290.0)).go(120, "main")
    area, geo = plants.bore_area(plants.platen()), run.grid.constants.circuit[0]
    heads = geo[f.K_PIPE] + geo[f.K_EXIT] + 200 * (area / (6 * plants.KV)) ** 2
    by_hand = math.sqrt(
        (5e5 - ATMOSPHERE) / (1e5 / (1000 * 4 * plants.KV) ** 2 + heads / (2 * cold() * area**2))
    )
    what = "full stream through valve, pipe and outlet in series"
    hand = "Kv 4, friction, Kv 6 by hand, 5 to 1.013 bar"
    yield Check(what, hand, by_hand, run.see("upper.water_flow"), 5e-3, "kg/s")
    full = cold() * area * 18
    yield Check(
        "water in the full circuit", "IAPWS-95, 15 degC", full, run.see("upper.water_held"), 1e-3, "kg"
    )


def drooping() -> Iterator[Row]:
    """The same stream behind a supply with a resistance of its own, up a wide line of 5 m."""
    base = plants.platen(start=290.0)
    water = evolve(base.supplies["water"], kv=6 * plants.KV, line=plants.line(5.0, 0.1, 5.0))
    run = Run(evolve(base, supplies={**base.supplies, "water": water})).go(120, "main")
    area, geo = plants.bore_area(base), run.grid.constants.circuit[0]
    heads = geo[f.K_PIPE] + geo[f.K_EXIT] + 200 * (area / (6 * plants.KV)) ** 2
    inlet = 1e5 / 1000**2 * (1 / (4 * plants.KV) ** 2 + 1 / (6 * plants.KV) ** 2)
    left = 5e5 - ATMOSPHERE - WATER * G * 5.0
    by_hand = math.sqrt(left / (inlet + heads / (2 * cold() * area**2)))
    what = "full stream through a supply of Kv 6, up 5 m, valve, pipe and outlet in series"
    yield Check(what, "by hand, rho g h and Kv in series", by_hand, run.see("upper.water_flow"), 5e-3, "kg/s")


def whole(plan: Plan) -> Run:
    """Doses, a full stream, a blow-out."""
    run = Run(plan)
    for _ in range(40):
        run.go(1, "small", "air").go(3, "air")
    return run.go(60, "main").go(30, "air")


def books() -> Iterator[Row]:
    for what, plan in (("platen", plants.platen()), ("coil in gas", plants.oven())):
        errors = whole(plan).books().errors.values()
        digits = tuple(float(min(math.floor(-math.log10(max(error, 1e-16))), 8)) for error in errors)
        said = f"digits to which the books of a {what} close: doses, stream, blow-out"
        yield Behaviour(said, "conservation of water, air, energy", "8 or more", digits, min(digits) >= 8)


def rows() -> Iterator[Row]:
    for part in (doses, gas, stream, drooping, books):
        yield from part()


LIMITS = Group(
    "Circuits in limiting cases",
    "An evaporated dose, trapped air, a full stream, and books that close.",
    rows,
)
