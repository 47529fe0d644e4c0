"""Water and the air that carries it: how far it cools, how damp it makes the air, the same law both ways."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from attrs import frozen
from CoolProp.CoolProp import PropsSI
from scipy.optimize import brentq

from steadfall.constants import ATMOSPHERE
from steadfall.plant import fields as f
from steadfall.plant.kernel.exchange import CONDENSING, DROPS, exchange
from steadfall.plant.law import properties as p
from steadfall.plant.state import Reals
from tests.physics.check import Behaviour, Check, Group, Row
from tests.plant.plants import K0

STEP = 0.02  # s
MUCH, LITTLE = 1e3, 1e-3  # kg: what does not change, and what does
TABLE = "ASHRAE RP-1485 by CoolProp (HAPropsSI)"
WET_BULBS = (  # degC, relative humidity, Pa: wet bulb in degC
    (20.0, 0.5, ATMOSPHERE, 13.776),
    (30.0, 0.3, ATMOSPHERE, 17.961),
    (25.0, 0.1, ATMOSPHERE, 10.446),
    (40.0, 0.1, ATMOSPHERE, 18.548),
    (60.0, 0.05, ATMOSPHERE, 25.396),
    (80.0, 0.3, ATMOSPHERE, 54.952),
    (100.0, 0.02, ATMOSPHERE, 36.410),
    (150.0, 0.01, ATMOSPHERE, 47.761),
    (40.0, 0.1, 3e5, 26.292),
)
SATURATED = (  # degC, Pa: kg of steam for each kg of air that is saturated
    (20.0, ATMOSPHERE, 0.014760),
    (60.0, ATMOSPHERE, 0.153545),
    (80.0, ATMOSPHERE, 0.552926),
    (80.0, 3e5, 0.118470),
)
ASSMANN = "measured: ventilated psychrometer, 6.53e-4 (1 + 9.44e-4 t) p (WMO-No. 8, from memory)"


@frozen(eq=False)
class Cell:
    """A cell with water and damp air, on which nothing but their exchange acts."""

    cells: Reals
    tables: tuple[Reals, Reals]  # over pressure, over temperature
    pressure: float

    def step(self, dt: float = STEP, drops: float = DROPS) -> tuple[float, float]:
        """One step; kg evaporated and kg condensed."""
        x = self.pressure**0.25
        boiling, liquid = self.tables
        boils = p.saturation_temperature(boiling, x)
        share = 1.0 - math.exp(-dt / CONDENSING)
        came, gone = exchange(self.cells, 0, boiling, liquid, x, boils, drops * dt, share)
        return float(came), float(gone)

    def of(self, field: int) -> float:
        """What stands in the cell."""
        return float(self.cells[0, field])


def cell(air: tuple[float, float, float], water: tuple[float, float], pressure: float = ATMOSPHERE) -> Cell:
    """Air of so many degC, relative humidity and kg of dry air; water of so many degC and kg."""
    celsius, humidity, mass = air
    steam = humidity * PropsSI("P", "T", celsius + K0, "Q", 0, "Water")
    cells = np.zeros((1, f.CELL_FIELDS))
    cells[0, f.MA], cells[0, f.TG] = mass, celsius + K0
    cells[0, f.MV] = mass * p.R_A * steam / (p.R_V * (pressure - steam))
    cells[0, f.ML], cells[0, f.TL] = water[1], water[0] + K0
    tables = p.read_table("boiling").copy(), p.read_table("liquid").copy()
    return Cell(cells, tables, pressure)


def wet_bulb(celsius: float, humidity: float, pressure: float = ATMOSPHERE) -> float:
    """The temperature (degC) to which a trace of water comes in much air."""
    one = cell((celsius, humidity, MUCH), (celsius, LITTLE), pressure)
    for _ in range(2000):
        one.step()
        one.cells[0, f.ML] = LITTLE
    return one.of(f.TL) - K0


def wet_bulbs() -> Iterator[Row]:
    for celsius, humidity, pressure, expected in WET_BULBS:
        what = f"wet bulb below air of {celsius:g} degC, {100 * humidity:g} %, {pressure / 1e5:.3g} bar"
        got = celsius - wet_bulb(celsius, humidity, pressure)
        yield Check(what, TABLE, celsius - expected, got, 0.01, "K")
    for celsius, humidity in ((20.0, 0.5), (30.0, 0.3), (40.0, 0.1)):
        steam = humidity * PropsSI("P", "T", celsius + K0, "Q", 0, "Water")

        def off(wet: float, celsius: float = celsius, steam: float = steam) -> float:
            lacks = 6.53e-4 * (1.0 + 9.44e-4 * wet) * ATMOSPHERE * (celsius - wet)
            return float(PropsSI("P", "T", wet + K0, "Q", 0, "Water")) - lacks - steam

        expected = celsius - float(brentq(off, 0.1, celsius))
        what = f"wet bulb below air of {celsius:g} degC, {100 * humidity:g} %"
        yield Check(what, ASSMANN, expected, celsius - wet_bulb(celsius, humidity), 0.03, "K")


def saturated() -> Iterator[Row]:
    """Dry air over much water, until it takes no more."""
    for celsius, pressure, expected in SATURATED:
        one = cell((celsius, 0.0, LITTLE), (celsius, MUCH), pressure)
        for _ in range(200):
            one.step()
        what = f"steam for each kg of air over water of {celsius:g} degC, {pressure / 1e5:.3g} bar"
        yield Check(what, TABLE, expected, one.of(f.MV) / one.of(f.MA), 0.02)


def both_ways() -> Iterator[Row]:
    """A little above and below the dew point of air of 60 degC: what evaporates, what condenses."""
    dew = 49.4  # about, of air of 60 degC and 60 %
    moved = []
    for off in (-2.0, -1.0, 1.0, 2.0):
        one = cell((dew, 1.0, MUCH), (dew + off, LITTLE))
        evaporated, condensed = one.step()
        moved.append(1e6 * (evaporated - condensed))
    alike = abs(moved[0] + moved[3]) < 0.15 * moved[3] and abs(moved[1] + moved[2]) < 0.15 * moved[2]
    said = "condenses below, evaporates above, alike: 2, 1 K below, 1, 2 K above"
    yield Behaviour(
        "water that passes into saturated air",
        "symmetry of the law",
        said,
        tuple(moved),
        alike,
        "mg",
    )


def rows() -> Iterator[Row]:
    for part in (wet_bulbs, saturated, both_ways):
        yield from part()


PSYCHROMETRY = Group(
    "Water in carrier air below boiling",
    "Mass passes as heat does (Lewis factor 1), with Stefan's flow, in one cell on which nothing else acts. "
    "The wet bulb\n"
    "is what heat and mass make of each other; how fast it is reached is a closure.",
    rows,
)
