"""The conductance to the host from geometry: drilled holes, bare and finned tube banks."""

from __future__ import annotations

from collections.abc import Iterator

import ht

from steadfall.plan.equipment import Fins
from steadfall.plant.drilled import row_of_cylinders
from steadfall.plant.tube_bank import Gas, bank_coefficient, narrowest, schmidt_1949, zukauskas_1972
from tests.physics.check import Check, Group, Row
from tests.physics.test_host import COOLER, EXAMPLE, EXAMPLE_AIR, INCH

COOLER_AIR = Gas(1.2013848, 1.9304793e-05, 0.027864828, 1009.0188)


def bare() -> Iterator[Row]:
    book = "Incropera 6e, example 7.7, p. 443"
    yield Check("velocity between the tubes", book, 12.6, 6.0 / narrowest(EXAMPLE, 0.0164), 2e-3, "m/s")
    found = bank_coefficient(EXAMPLE, 0.0164, 6.0, EXAMPLE_AIR)
    yield Check("Reynolds number of a staggered bank", book, 13943.0, found.reynolds, 2e-3)
    yield Check("coefficient of a staggered bank of 7 rows", book, 135.6, found.value, 0.015, "W/m2/K")
    library = ht.Nu_Zukauskas_Bejan(13943.0, 0.71, 7, 0.0343, 0.0313)
    got = zukauskas_1972(13943.0, 0.71, EXAMPLE)
    yield Check("Nusselt number of the same", "Zukauskas (ht, Nu_Zukauskas_Bejan)", library, got, 0.015)


def finned() -> Iterator[Row]:
    face = 56 * 2.5 * INCH * 10.9728
    found = bank_coefficient(COOLER, INCH, 130.70315 / COOLER_AIR.density / face, COOLER_AIR)
    source = "Ganguli in VDI Heat Atlas, M1 (ht, h_Ganguli_VDI), cooler of Serth and Lestina 2e, example 12.1"
    yield Check("coefficient of a finned bank, on the bare tube", source, 969.285, found.value, 0.02, "W/m2/K")
    for h, height in ((10.0, 0.006), (40.0, 0.015)):
        fins = Fins(0.0025, height, 0.0004, 200.0)
        exact = ht.fin_efficiency_Kern_Kraus(0.0254, 0.0254 + 2 * height, 0.0004, 200.0, h)
        what = f"efficiency of a fin of {1000 * height:g} mm at {h:g} W/m2/K"
        yield Check(
            what, "Bessel functions (ht, fin_efficiency_Kern_Kraus)", exact, schmidt_1949(0.0254, fins, h), 0.02
        )


def holes() -> Iterator[Row]:
    source = "Incropera 6e, table 4.1, case 2 (ht, S_isothermal_pipe_to_plane)"
    for depth in (0.1, 0.3):
        expected = ht.S_isothermal_pipe_to_plane(0.02, depth, 1.0)
        got = row_of_cylinders(0.02, 100 * depth, depth)
        yield Check(f"shape factor of one hole of 20 mm, {1000 * depth:g} mm deep", source, expected, got, 2e-3)


def rows() -> Iterator[Row]:
    for part in (bare, finned, holes):
        yield from part()


HOSTS = Group(
    "Hosts from geometry",
    "Where a plan gives holes or a tube bank in place of a conductance. A row of holes is held against a solved field\n"
    "in tests/physics/test_host.py: it lies 4 to 8 % low, the safe side for time.",
    rows,
)
