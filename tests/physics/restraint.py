"""A cooled bore and what holds it back: closed solutions of stress, a step of film, an independent solver."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from scipy.integrate import solve_ivp
from scipy.special import erfcx

from steadfall.constants import ZERO_CELSIUS
from steadfall.plan.model import Material, Path
from steadfall.plant import fields as f
from steadfall.plant.damage.restraint import Restraint
from steadfall.plant.damage.stress import restrained_stress
from steadfall.plant.grid.metal import mouth
from steadfall.plant.kernel.mouth import Film, cool_column, prepare_mouth
from steadfall.plant.law import properties as w
from steadfall.plant.law.boiling import boiling_flux
from steadfall.plant.law.properties import read_table, row_of_pressure, tabulated
from steadfall.plant.state import Reals
from tests.physics.check import Check, Group, Row

STEEL = Material("steel", 7850.0, 480.0, 45.0, 12e-6, 200e9, 0.3)
DIFFUSIVITY = STEEL.conductivity / (STEEL.density * STEEL.heat_capacity)
NEVER = 1e6  # K, a boiling point that no surface reaches
HOT, COLD = 165.0 + ZERO_CELSIUS, 14.0 + ZERO_CELSIUS
STEP = 0.020


def path(bore: float, wall: float) -> Path:
    """A bore of which only its size matters."""
    return Path(bore, 1.0, 1, wall, "steel", 1.0, 0, 5e-5)


class Column:
    """The tool's own metal at a mouth, cooled by a film that does not change."""

    def __init__(self, bore: float, held: Restraint, start: float, behind: float = 0.0) -> None:
        self.metal = mouth(path(bore, held.depth), STEEL, held)
        self.row: Reals = np.zeros(f.MOUTH_STATE_FIELDS)
        self.row[f.S_SURFACE] = start
        self.row[f.S_SHELL : f.S_ALPHA] = start
        self.behind, self.host, self.boiling = behind, start, read_table("boiling")

    def cool(self, film: Film, seconds: float, step: float = STEP) -> float:
        """Hold the film for a while; the K by which the surface is below what holds it."""
        prepare_mouth(self.row, self.metal, self.behind, step)
        below = 0.0
        for _ in range(round(seconds / step)):
            below = cool_column(self.row, self.metal, film, self.boiling, self.host)
        return below

    @property
    def surface(self) -> float:
        """K."""
        return float(self.row[f.S_SURFACE])


def dry_film(coefficient: float, liquid: float = 0.0) -> Film:
    """Convection alone."""
    return Film(liquid, coefficient, 1.0, 0.0, 0.0, NEVER)


def thick_cylinder(dt: float, b: float, a: float) -> float:
    """Pa round the bore of a long cylinder whose bore is dt colder than its outside, in steady conduction."""
    log = math.log(b / a)
    part = 2.0 * b * b / (b * b - a * a) * log - 1.0
    return STEEL.youngs_modulus * STEEL.expansion * dt / (2.0 * (1.0 - STEEL.poisson) * log) * part


def held_steady() -> Iterator[Row]:
    """Held until steady: the surface at 0 K, the host at 76 K."""
    a = 0.007
    for ratio in (1.5, 2.0, 4.3, 10.0):
        column = Column(2 * a, Restraint(a * (ratio - 1.0), False, True, ""), 76.0)
        below = column.cool(dry_film(1e9), 4000.0, 1.0)
        yield Check(
            f"stress of a bore, b/a {ratio:g}, 76 K colder than its host",
            "thick cylinder, Timoshenko and Goodier 1951, article 135 (from memory)",
            thick_cylinder(76.0, ratio * a, a) / 1e6,
            restrained_stress(STEEL, below) / 1e6,
            0.02,
            "MPa",
        )
    column = Column(2 * a, Restraint(0.028, True, True, ""), 76.0)
    below = column.cool(dry_film(1e9), 4000.0, 1.0)
    flat = 200e9 * 12e-6 * 76.0 / (2.0 * 0.7) / 1e6
    what = "stress of a channel in a jacket, 76 K colder than its host"
    source = "plate kept from bending, linear over its thickness: E alpha dT/(2(1 - nu))"
    yield Check(what, source, flat, restrained_stress(STEEL, below) / 1e6, 1e-4, "MPa")


def held_large() -> Iterator[Row]:
    """A bore in a body without end: what holds it does not follow."""
    column = Column(0.014, Restraint(0.7, False, True, ""), 300.0)
    stress = restrained_stress(STEEL, column.cool(dry_film(1e9, 200.0), 1.0)) / 1e6
    whole = 200e9 * 12e-6 * 100.0 / 0.7 / 1e6
    source = "hole in an infinite body: E alpha dT/(1 - nu)"
    yield Check("stress of a bore in a large body, 100 K colder", source, whole, stress, 0.005, "MPa")


def tubes() -> Iterator[Row]:
    """A thin tube that gives a steady flux from the gas outside to the water inside."""
    wall, film = 0.002, 100.0
    column = Column(0.5, Restraint(wall, False, False, ""), 4000.0, film)
    below = column.cool(dry_film(1e9), 400.0, 0.1)
    flux = 4000.0 / (1.0 / film + wall / STEEL.conductivity)
    expected = 200e9 * 12e-6 * flux * wall / (2 * 0.7 * STEEL.conductivity) / 1e6
    what, source = "stress of a thin tube under a steady flux", "E alpha q t/(2(1 - nu) k)"
    yield Check(what, source, expected, restrained_stress(STEEL, below) / 1e6, 0.02, "MPa")


def plates() -> Iterator[Row]:
    """A flat wall that a step of film cools on one side, nothing behind it."""
    size = 0.01
    for biot, expected in ((0.1, 0.0309), (1.0, 0.2083), (10.0, 0.5935), (100.0, 0.850)):
        column = Column(2.0, Restraint(size, False, False, ""), 1.0)
        step = 2e-4 * size**2 / DIFFUSIVITY
        film = dry_film(biot * STEEL.conductivity / size)
        worst = max(column.cool(film, step, step) for _ in range(3000))
        what = f"peak stress of a plate after a step, Biot {biot:g}, over E alpha dT/(1 - nu)"
        yield Check(what, "plane wall, full series", expected, worst, 0.03)


def steps() -> Iterator[Row]:
    """A step of film on a solid that is deep against what the step reaches."""
    for h in (3e3, 12e3, 30e3):
        for seconds in (0.1, 0.4, 1.2):
            column = Column(2.0, Restraint(0.2, True, True, ""), HOT)
            column.cool(dry_film(h, COLD), seconds)
            deep = h * math.sqrt(DIFFUSIVITY * seconds) / STEEL.conductivity
            fallen = (HOT - COLD) * (1.0 - float(erfcx(deep)))
            what = f"fall of a surface after {seconds:g} s under {h / 1000:g} kW/m2K"
            source = "semi-infinite solid, 1 - exp(z2) erfc(z) (Incropera 6e, eq. 5.60)"
            yield Check(what, source, fallen, HOT - column.surface, 0.03, "K")


def boiled(h: float, seconds: float, b: float) -> tuple[float, float]:
    """A wet bore of 14 mm at 2.5 bar by another hand: 400 shells that grow outwards, a stiff integrator.

    Returns the surface and the mean over the area, K.
    """
    a, n, table = 0.007, 400, read_table("boiling")
    at = row_of_pressure(2.5e5**0.25)
    t_sat = tabulated(table, at, w.T_SAT)
    ends = a + (b - a) * (np.expm1(np.linspace(0.0, 5.0, n + 1)) / math.expm1(5.0))
    middle, area = 0.5 * (ends[1:] + ends[:-1]), (ends[1:] ** 2 - ends[:-1] ** 2) / 2.0
    link = STEEL.conductivity / np.log(middle[1:] / middle[:-1])
    skin, out = STEEL.conductivity / math.log(middle[0] / a), STEEL.conductivity / math.log(b / middle[-1])

    def surface(first: float) -> float:
        low, high = COLD, first
        for _ in range(60):
            ts = 0.5 * (low + high)
            flux, share, _ = boiling_flux(table, at, ts, COLD, t_sat)
            given = (flux + h * share * (ts - COLD)) * a
            low, high = (ts, high) if given < skin * (first - ts) else (low, ts)
        return 0.5 * (low + high)

    def change(_: float, t: Reals) -> Reals:
        flow = np.concatenate(
            [[skin * (t[0] - surface(t[0]))], link * (t[1:] - t[:-1]), [out * (HOT - t[-1])]]
        )
        rate: Reals = (flow[1:] - flow[:-1]) / (area * STEEL.density * STEEL.heat_capacity)
        return rate

    # not BDF: scipy's own reads a row of its table before it wrote it, and what lay in memory may overflow
    found = solve_ivp(
        change, (0.0, seconds), np.full(n, HOT), method="LSODA", rtol=1e-6, atol=1e-3, lband=1, uband=1
    )
    end = found.y[:, -1]
    return surface(float(end[0])), float(end @ area / area.sum())


def doses() -> Iterator[Row]:
    """A wet bore of 14 mm in steel of 165 degC, water of 14 degC at 2.5 bar, the tool's own boiling curve."""
    table = read_table("boiling")
    at = row_of_pressure(2.5e5**0.25)
    t_sat = tabulated(table, at, w.T_SAT)
    for h in (3e3, 12e3, 30e3):
        surface, mean = boiled(h, 0.4, 0.0301)
        column = Column(0.014, Restraint(0.0231, False, True, ""), HOT)
        below = column.cool(Film(COLD, h, 1.0, 0.0, at, t_sat), 0.4)
        what = f"bore below what holds it after a dose of 0.4 s, film {h / 1000:g} kW/m2K"
        source = "thick cylinder in 400 shells, stiff integrator (scipy), the same boiling curve"
        yield Check(what, source, mean - surface, below, 0.05, "K")


def rows() -> Iterator[Row]:
    for part in (held_steady, held_large, tubes, plates, steps, doses):
        yield from part()


RESTRAINT = Group(
    "What holds a cooled bore back",
    "Elastic stress of a bore in a body, a tube and a jacket by closed solutions; the surface after a step "
    "of film; a dose by an independent solver with the tool's own boiling curve.",
    rows,
)
