"""The conductance to the host from geometry: drilled holes, jackets, bare and finned tube banks."""

from __future__ import annotations

import math
from collections.abc import Iterator

import ht
from CoolProp.CoolProp import PropsSI

from steadfall.constants import ZERO_CELSIUS
from steadfall.plan.model.equipment import Fins, Jacket
from steadfall.plant import fields as f
from steadfall.plant.grid.host import CONDUCTIVITY, VISCOSITY, sutherland
from steadfall.plant.kernel.losses import free_convection
from steadfall.plant.law.drilled import row_of_cylinders
from steadfall.plant.law.jacket import jacket_conductance
from steadfall.plant.law.tube_bank import Gas, bank_coefficient, narrowest, schmidt_1949, zukauskas_1972
from tests.physics.check import Check, Group, Row
from tests.physics.test_host import COOLER, EXAMPLE, EXAMPLE_AIR, IN_LINE, INCH, solved
from tests.plant.test_losses import AMBIENT, FACES, by_library

COOLER_AIR = Gas(1.2013848, 1.9304793e-05, 0.027864828, 1009.0188)


REYNOLDS = (30.0, 200.0, 5e3, 1e5)


def bare() -> Iterator[Row]:
    book = "Incropera 6e, example 7.7, p. 443"
    yield Check("velocity between the tubes", book, 12.6, 6.0 / narrowest(EXAMPLE, 0.0164), 2e-3, "m/s")
    found = bank_coefficient(EXAMPLE, 0.0164, 6.0, EXAMPLE_AIR)
    yield Check("Reynolds number of a staggered bank", book, 13943.0, found.reynolds, 2e-3)
    yield Check("coefficient of a staggered bank of 7 rows", book, 135.6, found.value, 0.015, "W/m2/K")
    library = ht.Nu_Zukauskas_Bejan(13943.0, 0.71, 7, 0.0343, 0.0313)
    got = zukauskas_1972(13943.0, 0.71, EXAMPLE)
    yield Check("Nusselt number of the same", "Zukauskas (ht, Nu_Zukauskas_Bejan)", library, got, 0.015)
    for bank in (EXAMPLE, IN_LINE):
        for re in REYNOLDS:
            if bank.arrangement == "in_line" and 100 < re < 1000:
                continue  # the library's exponent there is a slip
            library = ht.Nu_Zukauskas_Bejan(re, 0.7, bank.rows, bank.pitch_along, bank.pitch_across)
            what = f"Nusselt number of {bank.rows} rows {bank.arrangement.replace('_', ' ')}, Re {re:g}"
            within = 0.015 if re >= 1e3 else 0.12  # the factor for few rows is another curve below
            yield Check(what, "Zukauskas (ht)", library, zukauskas_1972(re, 0.7, bank), within)


def finned() -> Iterator[Row]:
    face = 56 * 2.5 * INCH * 10.9728
    found = bank_coefficient(COOLER, INCH, 130.70315 / COOLER_AIR.density / face, COOLER_AIR)
    source = "Ganguli in VDI Heat Atlas, M1 (ht, h_Ganguli_VDI), cooler of Serth and Lestina 2e, example 12.1"
    yield Check(
        "coefficient of a finned bank, on the bare tube", source, 969.285, found.value, 0.02, "W/m2/K"
    )
    for h, height in ((10.0, 0.006), (40.0, 0.015)):
        fins = Fins(0.0025, height, 0.0004, 200.0)
        exact = ht.fin_efficiency_Kern_Kraus(0.0254, 0.0254 + 2 * height, 0.0004, 200.0, h)
        what = f"efficiency of a fin of {1000 * height:g} mm at {h:g} W/m2/K"
        yield Check(
            what,
            "Bessel functions (ht, fin_efficiency_Kern_Kraus)",
            exact,
            schmidt_1949(0.0254, fins, h),
            0.02,
        )


def jackets() -> Iterator[Row]:
    source = "cylinder wall, Incropera 6e table 3.3 (ht, R_cylinder)"
    for radius, thickness in ((0.12, 0.025), (0.06, 0.02), (0.4, 0.016)):
        area = 0.9
        expected = 1.0 / ht.R_cylinder(
            2 * (radius - thickness), 2 * radius, 45.0, area / (2 * math.pi * radius)
        )
        got = jacket_conductance(Jacket(area, thickness, radius), 45.0)
        what = f"jacket of 0.9 m2 on steel of {1000 * thickness:g} mm, radius {1000 * radius:g} mm"
        yield Check(what, source, expected, got, 1e-9, "W/K")
    flat, nearly = (
        jacket_conductance(Jacket(0.9, 0.025), 45.0),
        jacket_conductance(Jacket(0.9, 0.025, 1e4), 45.0),
    )
    yield Check(
        "the same on a very large radius", "plane wall, by hand: 45 x 0.9/0.025", 1620.0, nearly, 1e-5, "W/K"
    )
    yield Check("the same, flat", "plane wall, by hand: 45 x 0.9/0.025", 1620.0, flat, 1e-12, "W/K")


def holes() -> Iterator[Row]:
    source = "Incropera 6e, table 4.1, case 2 (ht, S_isothermal_pipe_to_plane)"
    for depth in (0.1, 0.3):
        expected = ht.S_isothermal_pipe_to_plane(0.02, depth, 1.0)
        got = row_of_cylinders(0.02, 100 * depth, depth)
        yield Check(
            f"shape factor of one hole of 20 mm, {1000 * depth:g} mm deep", source, expected, got, 2e-3
        )
    slab = 1 / (10.0 / 0.06 + math.log(0.06 / (math.pi * 0.02)) / (2 * math.pi))
    limit = "a slab and the constriction of line sinks, by hand"
    got = row_of_cylinders(0.02, 0.06, 10.0)
    yield Check("shape factor of a row of 20 mm, 60 mm apart, 10 m deep", limit, slab, got, 1e-6)
    field = "Laplace's equation by finite differences, the far side insulated"
    for spacing, depth in ((0.06, 0.03), (0.06, 0.06), (0.1, 0.03)):
        what = f"shape factor of a row of 20 mm, {1000 * spacing:g} mm apart, {1000 * depth:g} mm deep"
        got = row_of_cylinders(0.02, spacing, depth)
        yield Check(what, field, solved(0.02, spacing, depth), got, 0.085)


def gases() -> Iterator[Row]:
    for gas in ("air", "nitrogen"):
        for t in (280.0, 450.0, 700.0):
            fluid = gas.capitalize()
            viscosity, conductivity = (PropsSI(what, "T", t, "P", 1e5, fluid) for what in ("V", "L"))
            what = f"of {gas} at {t:g} K"
            got = sutherland(*VISCOSITY[gas], t)
            yield Check(f"viscosity {what}", "CoolProp", viscosity, got, 0.03, "Pa s")
            got = sutherland(*CONDUCTIVITY[gas], t)
            yield Check(f"conductivity {what}", "CoolProp", conductivity, got, 0.04, "W/m/K")


def surfaces() -> Iterator[Row]:
    """Free convection and radiation of what stands in the hall."""
    got = free_convection(0.71, float(f.UPRIGHT), 505.15, 296.15)
    yield Check(
        "fire screen 0.71 m high at 232 degC", "Incropera 6e, example 9.2: 7.0", 7.0, got, 0.02, "W/m2/K"
    )
    for face in ("upright", "up", "down"):
        for celsius in (60.0, 200.0):
            expected = by_library(face, 0.8, celsius + ZERO_CELSIUS)
            got = free_convection(0.8, float(FACES[face]), celsius + ZERO_CELSIUS, AMBIENT)
            library = "Churchill and Chu, McAdams (ht) with air of CoolProp"
            what = f"free convection of a face of 0.8 m, {face}, at {celsius:g} degC"
            yield Check(what, library, expected, got, 0.03, "W/m2/K")


def rows() -> Iterator[Row]:
    for part in (bare, finned, jackets, holes, gases, surfaces):
        yield from part()


HOSTS = Group(
    "Hosts and surroundings",
    "Where a plan gives holes, a jacket or a tube bank in place of a conductance. A row of holes is held "
    "against a\n"
    "solved field in tests/physics/test_host.py: it lies 4 to 8 % low, the safe side for time.",
    rows,
)
