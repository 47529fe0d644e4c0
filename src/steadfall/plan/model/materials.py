"""Solids that every plan can name: density, heat capacity, conductivity, and what thermal stress needs.

Rule of this file: values at 100 degC, the middle of a cool-down, as constants (heat capacity and conductivity
of steels move by some 10 % over 20 to 250 degC). Each row names its source; a plan's own `materials` come
first.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.plan.model.equipment import Material

BUILT_IN: Mapping[str, Material] = {
    material.name: material
    for material in (
        # EN 1993-1-2 3.4.1 at 100 degC (c = 425 + 0.773 t - 1.69e-3 t2 + 2.22e-6 t3 = 488,
        # k = 54 - 0.0333 t = 50.7);
        # density, E, Poisson's ratio, expansion: EN 1993-1-1 3.2.6. From memory of the standard.
        Material("carbon steel", 7850.0, 488.0, 50.7, 12e-6, 210e9, 0.3),
        # EN 1993-1-2 annex C.3 at 100 degC (c = 450 + 0.280 t - 2.91e-4 t2 + 1.34e-7 t3 = 475,
        # k = 14.6 + 0.0127 t = 15.9);
        # E, Poisson's ratio: EN 1993-1-4; density, expansion of 1.4301: EN 10088-1. From memory of the
        # standards.
        Material("stainless steel", 7900.0, 475.0, 15.9, 16e-6, 200e9, 0.3),
        # EN 1999-1-2 3.3 at 100 degC (c = 903 + 0.41 t = 944, k = 190 + 0.07 t = 197, 3000 and 6000 series);
        # density, E, expansion, Poisson's ratio: EN 1999-1-1 3.2.5. From memory of the standards.
        Material("aluminium", 2700.0, 944.0, 197.0, 23e-6, 70e9, 0.3),
        # Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.1 (pure copper near 400 K),
        # from memory; expansion, E, Poisson's ratio: common handbook values, from memory.
        Material("copper", 8933.0, 397.0, 393.0, 17e-6, 117e9, 0.34),
        # Grey iron EN-GJL-250, EN 1561 annex A (20 to 200 degC; k at 100 degC), from memory of the standard.
        Material("cast iron", 7200.0, 460.0, 48.5, 11.7e-6, 110e9, 0.26),
        # Cartridge brass, Incropera and DeWitt table A.1 (near 400 K), from memory; the rest: common handbook
        # values.
        Material("brass", 8530.0, 395.0, 137.0, 20e-6, 110e9, 0.35),
    )
}
