"""Boiling and forced convection of water: one published correlation a function, SI in, SI out.

The kernel reads them as tables over pressure and temperature (plant/tables), made of these functions with
IAPWS-95 properties. Correlations still answer outside their range; the kernel notes when it used one there.
"""

from __future__ import annotations

import math

from attrs import frozen

from steadfall.constants import ZERO_CELSIUS, G


@frozen
class Saturated:
    """Saturated water at one pressure, with its vapour; `film` properties are of vapour at the mean
    temperature of a film that is about to collapse.
    """

    temperature: float  # K
    pressure: float  # Pa
    rho_l: float  # kg/m3
    rho_v: float
    h_fg: float  # J/kg
    sigma: float  # N/m
    cp_l: float  # J/kg/K
    mu_l: float  # Pa s
    k_l: float  # W/m/K
    rho_film: float
    k_film: float
    mu_film: float


def rohsenow_1952(s: Saturated, c_sf: float = 0.013, n: float = 1.0) -> float:
    """Nucleate boiling: q = C dT^3; returns C in W/m2/K3.

    C = mu_l h_fg sqrt(g (rho_l - rho_v)/sigma) (c_pl / (C_sf h_fg Pr^n))^3, dT = wall - saturation in K. n =
    1 for water; C_sf 0.013 for water on copper or mechanically polished stainless steel (Incropera 6e, eq.
    10.5 and table 10.1; Rohsenow, Trans. ASME 74 (1952) 969). Scatter of the data: a factor of 2 in q.
    """
    pr = s.cp_l * s.mu_l / s.k_l
    lift = math.sqrt(G * (s.rho_l - s.rho_v) / s.sigma)
    return s.mu_l * s.h_fg * lift * float((s.cp_l / (c_sf * s.h_fg * pr**n)) ** 3)


def zuber_1959(s: Saturated, c: float = 0.131) -> float:
    """Peak heat flux of saturated pool boiling, W/m2.

    q = C h_fg rho_v^0.5 (sigma g (rho_l - rho_v))^0.25 (Zuber, AECU-4439, 1959; Incropera 6e, eq. 10.6). C =
    pi/24 = 0.131 for large cylinders, spheres and other large finite surfaces, 0.149 for large horizontal
    plates (Incropera 6e, 10.4.2, from memory): a bore is no plate, and the smaller is the safe side. Data lie
    within 20 %.
    """
    return c * s.h_fg * math.sqrt(s.rho_v) * float((s.sigma * G * (s.rho_l - s.rho_v)) ** 0.25)


def ivey_morris_1962(s: Saturated) -> float:
    """Rise of the peak heat flux per kelvin of subcooling, 1/K: 0.1 (rho_l/rho_v)^0.75 c_pl / h_fg.

    Ivey and Morris, AEEW-R137, 1962; from memory.
    """
    return 0.1 * float((s.rho_l / s.rho_v) ** 0.75) * s.cp_l / s.h_fg


def berenson_1961_film(s: Saturated) -> float:
    """Film boiling over a horizontal plate: q = C dT^0.75; returns C in W/m2/K^0.75, without radiation.

    h = 0.425 (k_v^3 rho_v (rho_l - rho_v) g h_fg' / (mu_v dT sqrt(sigma/(g (rho_l - rho_v)))))^0.25, film
    properties, with h_fg' taken as h_fg (Berenson, J. Heat Transfer 83 (1961) 351; from memory). The film in
    a tube lies within a factor of 2 of it: the 2003 look-up table of film boiling in tubes (Groeneveld et
    al., Nucl. Eng. Des. 225, 83) has 50 .. 1000 W/m2/K near 1 bar.
    """
    drho = s.rho_l - s.rho_v
    length = math.sqrt(s.sigma / (G * drho))
    group = s.k_film**3 * s.rho_film * drho * G * s.h_fg / (s.mu_film * length)
    return 0.425 * float(group**0.25)


def groeneveld_stewart_1982(pressure: float) -> float:
    """Wall temperature at which film boiling of saturated water in a tube collapses, K.

    284.7 + 44.11 p - 3.72 p^2 in degC, p in MPa up to 9 (Groeneveld and Stewart, 7th Int. Heat Transfer
    Conf., Munich 1982, vol. 4, 393; from memory, and as public listings have it). From flow in heated tubes.
    Published values of others lie between the pool's (Berenson 1961: 160 .. 190 degC at 1 bar)
    and the homogeneous nucleation of water (310 .. 325 degC); what is measured depends on the metal, its
    roughness and its scale.
    """
    mpa = 1e-6 * pressure
    return ZERO_CELSIUS + 284.7 + mpa * (44.11 - 3.72 * mpa)


def groeneveld_stewart_1982_subcooled(s: Saturated) -> float:
    """By how many K that wall temperature rises for each K of subcooling.

    10^4/(2.82 + 1.22 p) for each unit of quality below saturation, -c_pl dT/h_fg of it for each K, p in MPa:
    6.3 K at 1 bar, 5.4 K at 10 bar (same source). On spheres 8 (Dhir and Purohit 1978: 201 degC + 8 K a K,
    water at 1 bar, up to 50 K; from memory).
    """
    return 1e4 / (2.82 + 1.22e-6 * s.pressure) * s.cp_l / s.h_fg


def leung_1986(s: Saturated) -> float:
    """Omega of saturated liquid that flashes as its pressure falls: rho_l c_pl T p (v_fg / h_fg)^2.

    The homogeneous equilibrium fluid expands as v/v0 = 1 + omega (p0/p - 1) (Leung, AIChE J. 32 (1986) 1743;
    from memory).
    """
    v_fg = 1 / s.rho_v - 1 / s.rho_l
    return s.rho_l * s.cp_l * s.temperature * s.pressure * (v_fg / s.h_fg) ** 2


def dittus_boelter(rho: float, mu: float, k: float, cp: float) -> float:
    """Turbulent water in a tube: h = C u^0.8 / d^0.2; returns C (SI).

    Nu = 0.023 Re^0.8 Pr^0.4 for a fluid being heated, Re >= 10 000, 0.6 <= Pr <= 160, L/d >= 10 (Incropera
    6e, eq. 8.60). Within 25 %.
    """
    pr = cp * mu / k
    return 0.023 * k * float((rho / mu) ** 0.8 * pr**0.4)
