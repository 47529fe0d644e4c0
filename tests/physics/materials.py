"""The built-in solids against codes and handbooks."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.plan.materials import BUILT_IN
from tests.physics.check import Check, Group, Row

EN = {  # heat capacity J/kg/K, conductivity W/m/K at 100 degC
    "carbon steel": ("EN 1993-1-2:2005, 3.4.1", 487.62, 50.67),
    "stainless steel": ("EN 1993-1-2:2005, annex C", 475.22, 15.87),
    "aluminium": ("EN 1999-1-2, 3xxx and 6xxx", 944.0, 197.0),
}
EXPANSION = {"carbon steel": 10.4e-6, "stainless steel": 17.3e-6, "aluminium": 23.9e-6, "copper": 16.7e-6}
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
    copper = BUILT_IN["copper"]
    yield Check("density of copper", "Incropera 6e, table A.1", 8933.0, copper.density, 1e-3, "kg/m3")


MATERIALS = Group("Materials", "The built-in table holds values at 100 degC; stress uses them as they are.", rows)
