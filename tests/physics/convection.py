"""Single-phase convection in the bore."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from ht.conv_internal import turbulent_Gnielinski

from steadfall.plant import fields as f
from steadfall.plant.kernel.heat import GAS_FACTOR, liquid_coefficient
from steadfall.plant.law import properties as p
from steadfall.plant.law.correlations import dittus_boelter
from tests.physics.check import Check, Group, Row


def coefficient(velocity: float, kelvin: float, bore: float) -> float:
    """What the kernel takes for a cell full of water, W/m2/K."""
    cells = np.zeros((1, f.CELL_FIELDS))
    cells[0, f.TL], cells[0, f.UL] = kelvin, velocity
    return float(liquid_coefficient(cells, 0, p.read_table("liquid").copy(), bore, bore**0.2))


def nusselt(re: float, pr: float) -> float:
    """Dittus-Boelter as we have it, as a Nusselt number: unit density, viscosity, conductivity and bore."""
    return dittus_boelter(1.0, 1.0, 1.0, pr) * float(re**0.8)


def water() -> Iterator[Row]:
    re = 4 * 0.2 / (math.pi * 0.025 * 725e-6)
    book = "Incropera 6e, example 11.1, p. 680"
    yield Check("Nusselt number, 0.2 kg/s in 25 mm, Pr 4.85", book + ": 90", 89.98, nusselt(re, 4.85), 1e-3)
    h = nusselt(re, 4.85) * 0.625 / 0.025
    yield Check("coefficient, 0.2 kg/s in 25 mm", book + ": 2250", 2249.5, h, 1e-3, "W/m2/K")
    nu = p.tabulated(p.read_table("liquid").copy(), p.row_of_temperature(333.15), p.NU_LIQUID)
    re = 1.5 * 0.014 / nu
    pr, k = 2.98, 0.6510  # IAPWS-95 at 60 degC and 60 bar
    gnielinski = turbulent_Gnielinski(Re=re, Pr=pr, fd=(0.790 * math.log(re) - 1.64) ** -2) * k / 0.014
    got = coefficient(1.5, 333.15, 0.014)
    yield Check(
        "water of 60 degC at 1.5 m/s in 14 mm", "Gnielinski (ht), smooth", gnielinski, got, 0.15, "W/m2/K"
    )


def gas() -> Iterator[Row]:
    gas = GAS_FACTOR / p.K_GAS * 20384.9**0.8
    book = "Incropera 6e, example 8.6, by Dittus-Boelter: 57.9; ours has 0.021 in place of 0.023, for gases"
    yield Check("Nusselt number of air, Re 20 385, Pr 0.7", book, 57.90, gas, 0.15)
    for re in (2e4, 1e5, 5e5):
        library = turbulent_Gnielinski(Re=re, Pr=p.PR_GAS, fd=(0.790 * math.log(re) - 1.64) ** -2)
        got = GAS_FACTOR / p.K_GAS * re**0.8
        yield Check(f"Nusselt number of gas, Re {re:g}, Pr 0.7", "Gnielinski (ht), smooth", library, got, 0.1)


def rows() -> Iterator[Row]:
    yield from water()
    yield from gas()


CONVECTION = Group(
    "Single-phase convection",
    "Water by Dittus and Boelter or laminar, whichever is greater; gas by the form for gases.",
    rows,
)
