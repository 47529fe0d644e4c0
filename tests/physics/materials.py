"""The built-in solids against codes and handbooks."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.plan.model.materials import BUILT_IN
from tests.physics.check import Check, Group, Row

EN = {  # heat capacity J/kg/K, conductivity W/m/K at 100 degC
    "carbon steel": ("EN 1993-1-2:2005, 3.4.1", 487.62, 50.67),
    "stainless steel": ("EN 1993-1-2:2005, annex C", 475.22, 15.87),
    "aluminium": ("EN 1999-1-2, 3xxx and 6xxx", 944.0, 197.0),
}
EXPANSION = {"carbon steel": 10.4e-6, "stainless steel": 17.3e-6, "aluminium": 23.9e-6, "copper": 16.7e-6}
HANDBOOK = (  # density, heat capacity, conductivity
    ("carbon steel", 7832.0, 434.0, 63.9),
    ("stainless steel", 7900.0, 477.0, 14.9),
    ("aluminium", 2702.0, 903.0, 237.0),
    ("copper", 8933.0, 385.0, 401.0),
)
MODULUS = {"carbon steel": 198e9, "stainless steel": 189e9}  # at 100 degC


def rows() -> Iterator[Row]:
    for name, (source, capacity, conductivity) in EN.items():
        solid = BUILT_IN[name]
        yield Check(f"heat capacity of {name}", source, capacity, solid.heat_capacity, 0.01, "J/kg/K")
        yield Check(f"conductivity of {name}", source, conductivity, solid.conductivity, 0.01, "W/m/K")
    for name, expected in EXPANSION.items():
        source = "DOE-HDBK-1017/2-93, table 1 (near room temperature)"
        yield Check(f"expansion of {name}", source, expected, BUILT_IN[name].expansion, 0.16, "1/K")
    for name, expected in MODULUS.items():
        source = "ASME BPVC II-D, table TM-1, 100 degC"
        yield Check(f"Young's modulus of {name}", source, expected, BUILT_IN[name].youngs_modulus, 0.07, "Pa")
    for name, expected, within in (
        ("carbon steel", 0.99840e-3 / 80, 0.05),
        ("stainless steel", 1.31733e-3 / 80, 0.05),
    ):
        source = "EN 1993-1-2:2005, elongation from 20 to 100 degC"
        yield Check(f"expansion of {name}", source, expected, BUILT_IN[name].expansion, within, "1/K")
    book = "Incropera 6e, table A.1, 300 K"
    for name, density, capacity, conductivity in HANDBOOK:
        solid = BUILT_IN[name]
        yield Check(f"density of {name}", book, density, solid.density, 3e-3, "kg/m3")
        yield Check(f"heat capacity of {name}", book, capacity, solid.heat_capacity, 0.13, "J/kg/K")
        yield Check(f"conductivity of {name}", book, conductivity, solid.conductivity, 0.22, "W/m/K")


MATERIALS = Group(
    "Materials", "The built-in table holds values at 100 degC; stress uses them as they are.", rows
)
