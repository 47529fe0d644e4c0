"""Heat from a gas stream that blows across a bank of tubes, bare or with round fins.

Bare: Zukauskas 1972 (Incropera 6e, eq. 7.64, tables 7.7 and 7.8, from memory), Nu = C2 C Re^m Pr^0.36, Re
with the tube's outer diameter and the velocity in the narrowest gap, 10 < Re < 2e6; the ranges below 1000 as
in Bejan, Convection Heat Transfer, 4e. The factor (Pr/Pr_wall)^0.25 is 1 within 1 % for gases and left out.
+-15 % (from memory). Finned: Ganguli, Tung and Taborek 1985 as in the VDI Heat Atlas, 2e, section M1, Nu = C
Re^0.6 (A/A_tube)^-0.15 Pr^(1/3), 1e3 < Re < 1e5, 5 < A/A_tube < 30; +-10 to 25 % (range and margin from
memory). The fin's efficiency is Schmidt's approximation (Schmidt 1949, as in VDI Heat Atlas, M1): tanh(X)/X,
X = phi (d/2) sqrt(2 h/(k t)), phi = (D/d - 1)(1 + 0.35 ln(D/d)); within 2 % of the Bessel functions down to
an efficiency of 0.7.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping

from attrs import frozen

from steadfall.plan.model.equipment import Bank, Fins

BARE: Mapping[str, tuple[tuple[float, float, float], ...]] = {  # from this Re: C, m
    "in_line": ((0.0, 0.9, 0.4), (1e2, 0.52, 0.5), (1e3, 0.27, 0.63), (2e5, 0.021, 0.84)),
    "staggered": ((0.0, 1.04, 0.4), (5e2, 0.71, 0.5), (1e3, 0.35, 0.6), (2e5, 0.022, 0.84)),
}
PITCHES_UP_TO = 2.0  # staggered, Re 1e3 .. 2e5: C = 0.35 (across/along)^0.2 up to this ratio, 0.40 beyond
WIDE = 0.40
# C2 for fewer than 20 rows (Incropera 6e, table 7.8)
ROWS = (1, 2, 3, 4, 5, 7, 10, 13, 16, 20)
FEW: Mapping[str, tuple[float, ...]] = {
    "in_line": (0.70, 0.80, 0.86, 0.90, 0.92, 0.95, 0.97, 0.98, 0.99, 1.0),
    "staggered": (0.64, 0.76, 0.84, 0.89, 0.92, 0.95, 0.97, 0.98, 0.99, 1.0),
}
# Ganguli's C by rows, the last for that many and more (VDI Heat Atlas, 2e, M1)
FINNED: Mapping[str, tuple[float, ...]] = {
    "in_line": (0.20, 0.20, 0.20, 0.22),
    "staggered": (0.20, 0.33, 0.36, 0.38),
}
BARE_RANGE, FINNED_RANGE = (10.0, 2e6), (1e3, 1e5)


@frozen
class Gas:
    """A gas as a tube bank sees it (SI)."""

    density: float
    viscosity: float
    conductivity: float
    heat_capacity: float

    @property
    def prandtl(self) -> float:
        """Prandtl number."""
        return self.heat_capacity * self.viscosity / self.conductivity


@frozen
class Coefficient:
    """W/m2/K on the tube's bare outside (fins included), the Reynolds number, and whether it lies in
    range.
    """

    value: float
    reynolds: float
    in_range: bool


def narrowest(bank: Bank, diameter: float) -> float:
    """Free share of the face at the narrowest gap between tubes (Incropera 6e, eq. 7.65 to 7.67), fins taken
    off.
    """
    fins = bank.fins
    blocked = diameter + (2.0 * fins.height * fins.thickness / fins.pitch if fins else 0.0)
    gap = bank.pitch_across - blocked
    if bank.arrangement == "staggered":
        gap = min(gap, 2.0 * (math.hypot(bank.pitch_along, bank.pitch_across / 2.0) - blocked))
    return gap / bank.pitch_across


def zukauskas_1972(re: float, pr: float, bank: Bank) -> float:
    """Nusselt number of a bank of bare tubes."""
    table = BARE[bank.arrangement]
    at = bisect_right([row[0] for row in table], re) - 1
    start, c, m = table[at]
    ratio = bank.pitch_across / bank.pitch_along
    if bank.arrangement == "staggered" and start == 1e3:
        c = c * ratio**0.2 if ratio <= PITCHES_UP_TO else WIDE
    return float(few_rows(bank) * c * re**m * pr**0.36)


def few_rows(bank: Bank) -> float:
    """C2: a few rows stir the gas less than many."""
    if bank.rows >= ROWS[-1]:
        return 1.0
    factors = FEW[bank.arrangement]
    at = bisect_right(ROWS, bank.rows) - 1
    part = (bank.rows - ROWS[at]) / (ROWS[at + 1] - ROWS[at])
    return factors[at] + part * (factors[at + 1] - factors[at])


def ganguli_1985(re: float, pr: float, more: float, bank: Bank) -> float:
    """Nusselt number of a bank of finned tubes; `more` is the whole surface over that of the bare tube."""
    c = FINNED[bank.arrangement][min(bank.rows, 4) - 1]
    return float(c * re**0.6 * more**-0.15 * pr ** (1.0 / 3.0))


def schmidt_1949(diameter: float, fins: Fins, h: float) -> float:
    """Efficiency of a round fin: the heat it takes over what it would take at the tube's temperature."""
    ratio = 1.0 + 2.0 * fins.height / diameter
    phi = (ratio - 1.0) * (1.0 + 0.35 * math.log(ratio))
    x = phi * diameter / 2.0 * math.sqrt(2.0 * h / (fins.conductivity * fins.thickness))
    return math.tanh(x) / x


def surfaces(diameter: float, fins: Fins) -> tuple[float, float]:
    """Fins (both faces and the rim) and tube between fins, each over the bare tube's surface."""
    tip = diameter + 2.0 * fins.height
    fin = (tip**2 - diameter**2) / 2.0 + tip * fins.thickness
    return fin / (diameter * fins.pitch), 1.0 - fins.thickness / fins.pitch


def bank_coefficient(bank: Bank, diameter: float, face_velocity: float, gas: Gas) -> Coefficient:
    """Film coefficient of the bank for a gas that meets its face at this velocity."""
    velocity = face_velocity / narrowest(bank, diameter)
    re = velocity * diameter * gas.density / gas.viscosity
    scale = gas.conductivity / diameter
    if bank.fins is None:
        value = scale * zukauskas_1972(re, gas.prandtl, bank)
        return Coefficient(value, re, BARE_RANGE[0] <= re <= BARE_RANGE[1])
    fin, tube = surfaces(diameter, bank.fins)
    h = scale * ganguli_1985(re, gas.prandtl, fin + tube, bank)
    value = h * (schmidt_1949(diameter, bank.fins, h) * fin + tube)
    return Coefficient(value, re, FINNED_RANGE[0] <= re <= FINNED_RANGE[1])
