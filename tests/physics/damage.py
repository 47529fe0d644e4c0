"""Water hammer, thermal stress, water left to flash."""

from __future__ import annotations

import math
from collections.abc import Iterator

from steadfall.constants import ATMOSPHERE, WATER
from steadfall.plan.model import Line, Material
from steadfall.plant.damage.hammer import BULK_MODULUS, close, joukowsky_1898, korteweg_1878, slow_closing
from steadfall.plant.damage.residue import steam_of
from steadfall.plant.damage.stress import restrained_stress
from tests.physics.check import Behaviour, Check, Group, Row

BOOK = "Subramanya, 1000 Solved Problems in Fluid Mechanics, {}"
STEEL = Material("steel", 7850.0, 480.0, 45.0, 12e-6, 200e9, 0.3)


def waves() -> Iterator[Row]:
    for fluid, bulk, density, expected in (
        ("water", 2.22e9, 998.0, 1491.46),
        ("crude oil", 1.5e9, 798.4, 1370.68),
        ("gasoline", 0.958e9, 678.64, 1188.13),
    ):
        got = korteweg_1878(bulk, density, 1.0, 1e30, 1.0)
        yield Check(f"speed of sound in {fluid}", BOOK.format("example 14.11"), expected, got, 1e-3, "m/s")
    got = korteweg_1878(1.43e9, 798.4, 2.5 / 0.02, 207e9, 1.0)
    yield Check("speed of a wave in a pipe of 2.5 m", BOOK.format("example 14.12"), 980.37, got, 1e-3, "m/s")
    wave = korteweg_1878(1.43e9, 798.4, 0.8 / 0.08, 207e9, 1.0)
    yield Check(
        "critical time, 1000 m of 0.8 m pipe", BOOK.format("example 14.16"), 1.5445, 2000 / wave, 3e-3, "s"
    )


def speeds() -> Iterator[Row]:
    wave = korteweg_1878(2.2e9, 998.0, 1.0, 1e30, 1.0)
    yield Check(
        "time for the wave to come back, 3500 m", BOOK.format("example 14.20"), 4.7147, 7000 / wave, 1e-3, "s"
    )
    wave = korteweg_1878(2e9, 998.0, 0.9 / 0.0125, 100e9, 1.0)
    head = joukowsky_1898(998.0, wave, 2.6) / (998.0 * 9.81)
    yield Check(
        "head when 2.6 m/s stop in a pipe of 0.9 m", BOOK.format("example 14.14"), 240.19, head, 2e-3, "m"
    )
    wave = korteweg_1878(BULK_MODULUS, WATER, 1.0, 1e30, 1.0)
    release = "IAPWS R7-97(2012), table 5: 300 K, 3 MPa; ours is water of 15 degC"
    yield Check("speed of sound in works water", release, 1507.74, wave, 0.02, "m/s")


def stopped() -> Iterator[Row]:
    """A pipe of 4 ft with 30 cubic feet a second and a wave of 3200 ft/s."""
    foot, psi, book = 0.3048, 6894.757, "Daugherty and Franzini, example 13.4: {}"
    density, velocity = 1.94 * 515.379, 30 * foot / (math.pi * 4)
    whole = joukowsky_1898(density, 3200 * foot, velocity) / psi
    yield Check("30 cubic feet a second stopped", book.format("102.9"), 102.92, whole, 3e-3, "psi")
    part = joukowsky_1898(density, 3200 * foot, velocity * 2 / 3) / psi
    yield Check("30 brought to 10 cubic feet a second", book.format("68.6"), 68.6, part, 3e-3, "psi")
    slow = slow_closing(density, 2000 * foot, velocity, 4.0) / psi
    yield Check("2000 ft of it stopped in 4 s", book.format("32.2"), 32.2, slow, 3e-3, "psi")


def surges() -> Iterator[Row]:
    rigid = joukowsky_1898(998.0, korteweg_1878(2.2e9, 998.0, 1.0, 1e30, 1.0), 3.0)
    yield Check("water stopped from 4 to 1 m/s", BOOK.format("example 14.13"), 4.44527e6, rigid, 1e-3, "Pa")
    for said, modulus, expected in (("rigid", 1e30, 3.0401e6), ("elastic", 210e9, 2.4823e6)):
        wave = korteweg_1878(2.1e9, 998.0, 0.6 / 0.012, modulus, 1.0)
        got = joukowsky_1898(998.0, wave, 2.1)
        yield Check(
            f"2.1 m/s stopped in a pipe, {said}", BOOK.format("example 14.15"), expected, got, 2e-3, "Pa"
        )
    wave = korteweg_1878(2.11e9, 998.0, 0.6 / 0.015, 104.1e9, 1.0)
    yield Check(
        "time for the wave to come back, 800 m", BOOK.format("example 14.18"), 1.48, 1600 / wave, 5e-3, "s"
    )
    got = joukowsky_1898(998.0, wave, 3.0)
    yield Check("rapid closing, 1.25 s", BOOK.format("example 14.18"), 3.2352e6, got, 2e-3, "Pa")
    got = slow_closing(998.0, 800.0, 3.0, 2.0)
    yield Check("slow closing, 2 s", BOOK.format("example 14.18"), 2.3952e6, got, 1e-3, "Pa")
    long = joukowsky_1898(998.0, korteweg_1878(2.2e9, 998.0, 1.0, 1e30, 1.0), 0.8)
    yield Check("0.8 m/s stopped in a rigid pipe", BOOK.format("example 14.20"), 1.18540e6, long, 1e-3, "Pa")


def short_line() -> Iterator[Row]:
    line = Line(10.0, 0.0272, 0.0032, "steel", 16e5)
    flow = 999.0 * math.pi * 0.0272**2 / 4
    surges = [close(line, STEEL, flow, closing).surge / 1e5 for closing in (1.0, 0.1, 0.02, 0.005)]
    limits = surges[-1] == max(surges) and surges == sorted(surges) and 12 < surges[-1] < 15
    said = "at most 12 .. 15 bar for each m/s, less the slower it shuts: 1 s, 100, 20, 5 ms"
    yield Behaviour(
        "surge when 1 m/s stops in 10 m of 1 inch pipe",
        "Joukowsky; common practice",
        said,
        tuple(surges),
        limits,
        "bar",
    )


def stress() -> Iterator[Row]:
    bar = Material("bar", 7850.0, 480.0, 45.0, 5.8e-6 * 1.8, 3.0e7 * 6894.757, 0.0)
    got = restrained_stress(bar, 480 / 1.8) / 6894.757
    handbook = "DOE-HDBK-1017/2-93: 8.4e4 psi (one direction: nu = 0)"
    yield Check("restrained bar, 60 to 540 degF", handbook, 83520.0, got, 1e-4, "psi")


def bars() -> Iterator[Row]:
    """Bars held at their ends: one direction, nu = 0."""
    ksi = 6.894757e6
    a36 = Material("bar", 7850.0, 480.0, 45.0, 6.6e-6 * 1.8, 29e3 * ksi, 0.0)
    got = restrained_stress(a36, 60 / 1.8) / ksi
    yield Check(
        "restrained bar, 60 to 120 degF",
        "Hibbeler, Mechanics of Materials, example 4.10",
        11.48,
        got,
        1e-3,
        "ksi",
    )
    rod = Material("rod", 7850.0, 480.0, 45.0, 12e-6, 200e9, 0.0)
    got = restrained_stress(rod, 65.0) / 1e6
    yield Check(
        "restrained rod, 95 to 30 degC",
        "Bansal, Strength of Materials, problem 1.29",
        156.0,
        got,
        1e-3,
        "MPa",
    )


def flash() -> Iterator[Row]:
    got = steam_of(1.0, ATMOSPHERE, 373.1244)
    yield Check(
        "steam from 1 kg of water at 1 atm", "steam table, IAPWS-IF97: 1/0.597623", 1.67329, got, 0.02, "m3"
    )


def rows() -> Iterator[Row]:
    for part in (waves, speeds, surges, stopped, short_line, stress, bars, flash):
        yield from part()


DAMAGE = Group(
    "What breaks plants",
    "Water hammer of a full line, elastic stress of what is fully held back, water left to flash.",
    rows,
)
