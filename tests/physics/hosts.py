"""The conductance to the host from geometry: drilled holes, jackets, bare and finned tube banks."""

from __future__ import annotations

from collections.abc import Iterator

import ht
from CoolProp.CoolProp import PropsSI

from steadfall.plan.model.equipment import Fins
from steadfall.plant import fields as f
from steadfall.plant.grid.host import CONDUCTIVITY, VISCOSITY, sutherland
from steadfall.plant.kernel.losses import free_convection
from steadfall.plant.law.drilled import row_of_cylinders
from steadfall.plant.law.tube_bank import bank_coefficient, narrowest, schmidt_1949
from tests.physics.check import Check, Group, Row
from tests.physics.test_host import EXAMPLE, EXAMPLE_AIR, solved


def bare() -> Iterator[Row]:
    book = "Incropera 6e, example 7.7, p. 443"
    yield Check("velocity between the tubes", book, 12.6, 6.0 / narrowest(EXAMPLE, 0.0164), 2e-3, "m/s")
    found = bank_coefficient(EXAMPLE, 0.0164, 6.0, EXAMPLE_AIR)
    yield Check("Reynolds number of a staggered bank", book, 13943.0, found.reynolds, 2e-3)
    yield Check("coefficient of a staggered bank of 7 rows", book, 135.6, found.value, 0.015, "W/m2/K")


def finned() -> Iterator[Row]:
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


def holes() -> Iterator[Row]:
    source = "Incropera 6e, table 4.1, case 2 (ht, S_isothermal_pipe_to_plane)"
    for depth in (0.1, 0.3):
        expected = ht.S_isothermal_pipe_to_plane(0.02, depth, 1.0)
        got = row_of_cylinders(0.02, 100 * depth, depth)
        yield Check(
            f"shape factor of one hole of 20 mm, {1000 * depth:g} mm deep", source, expected, got, 2e-3
        )
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


def rows() -> Iterator[Row]:
    for part in (bare, finned, holes, gases, surfaces):
        yield from part()


HOSTS = Group(
    "Hosts and surroundings",
    "Where a plan gives holes, a jacket or a tube bank in place of a conductance. A row of holes is held "
    "against a\n"
    "solved field in tests/physics/test_host.py: it lies 4 to 8 % low, the safe side for time.",
    rows,
)
