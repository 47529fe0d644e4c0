"""The Kv that a flow asks for by IEC 60534-2-1: the one door to the library `fluids`.

Rule of this file: SI in and out, a Kv in m3/s at 1 bar. The standard's factors are those of a globe valve
where nothing else is said, for a plan does not tell a valve's make: F_L 0.90, F_d 0.46 (its table of typical
values), x_T as the prediction has it.
"""

from __future__ import annotations

import math
from typing import Any

from attrs import frozen
from fluids.control_valve import (
    FF_critical_pressure_ratio_l,
    cavitation_index,
    size_control_valve_g,
    size_control_valve_l,
)

from steadfall.plant.law.valve import X_T
from steadfall.size.fluid import Gas, Liquid

HOUR = 3600.0
LEAST_DROP = 1.0  # Pa: below it a Kv would be without bound


@frozen
class Trim:
    """A valve as the standard describes it, and the pipes it is fitted between; without bores none count."""

    recovery: float = 0.90  # F_L, of liquid pressure
    ratio: float = X_T  # x_T, of the drop at which gas chokes
    style: float = 0.46  # F_d
    bore: float | None = None  # m, of the valve's ends
    before: float | None = None  # m, of the pipe before it
    after: float | None = None


GLOBE = Trim()


@frozen
class Asked:
    """The Kv that a flow asks for, and whether it chokes on its way."""

    kv: float
    choked: bool


def for_liquid(flow: float, before: float, after: float, liquid: Liquid, trim: Trim = GLOBE) -> Asked:
    """For a flow in m3/s of a liquid from one pressure to another, in Pa.

    Example 1 of the standard: 0.1 m3/s from 680 to 220 kPa asks for a Kv of 165 m3/h (tests/size).
    """
    if before - after < LEAST_DROP:
        return Asked(math.inf, False)
    if choking_drop(before, liquid, trim) <= 0.0:  # steam before it is in the valve
        return Asked(math.inf, True)
    found: dict[str, Any] = size_control_valve_l(
        rho=liquid.density,
        Psat=liquid.vapour,
        Pc=liquid.critical,
        mu=liquid.viscosity,
        P1=before,
        P2=after,
        Q=flow,
        **_fitted(trim),
        full_output=True,
    )
    return Asked(found["Kv"] / HOUR, bool(found["choked"]))


def for_gas(flow: float, before: float, after: float, gas: Gas, trim: Trim = GLOBE) -> Asked:
    """For a flow in kg/s of a gas from one pressure to another, in Pa.

    The standard's example 3 and 4 are in tests/size.
    """
    if before - after < LEAST_DROP:
        return Asked(math.inf, False)
    found: dict[str, Any] = size_control_valve_g(
        T=gas.temperature,
        MW=1000.0 * gas.molar_mass,
        mu=gas.viscosity,
        gamma=gas.gamma,
        Z=gas.compressibility,
        P1=before,
        P2=after,
        Q=gas.normal_volume(flow),
        xT=trim.ratio,
        **_fitted(trim),
        full_output=True,
    )
    return Asked(found["Kv"] / HOUR, bool(found["choked"]))


def _fitted(trim: Trim) -> dict[str, float | None]:
    return {"FL": trim.recovery, "Fd": trim.style, "d": trim.bore, "D1": trim.before, "D2": trim.after}


def choking_drop(before: float, liquid: Liquid, trim: Trim = GLOBE) -> float:
    """The drop in Pa from which a liquid's flow grows no more: F_L^2 (p1 - F_F p_v)."""
    critical = float(FF_critical_pressure_ratio_l(Psat=liquid.vapour, Pc=liquid.critical))
    return max(trim.recovery**2 * (before - critical * liquid.vapour), 0.0)


def cavitation_number(before: float, after: float, liquid: Liquid) -> float:
    """The cavitation index (p1 - p_v)/(p1 - p2): the lower, the more a valve cavitates (ISA-RP75.23)."""
    return float(cavitation_index(P1=before, P2=after, Psat=liquid.vapour))


def gas_through(kv: float, before: float, after: float, gas: Gas, trim: Trim = GLOBE) -> float:
    """kg/s of gas that a Kv passes, by the same formula; without fittings it is in proportion to the Kv."""
    return kv / for_gas(1.0, before, after, gas, trim).kv


def liquid_through(kv: float, before: float, after: float, liquid: Liquid, trim: Trim = GLOBE) -> float:
    """m3/s of liquid that a Kv passes, by the same formula."""
    return kv / for_liquid(1.0, before, after, liquid, trim).kv
