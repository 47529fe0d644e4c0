"""What a person reads in US units is what pint makes of it; what is not in the table stays as it is."""

from __future__ import annotations

import pint
import pytest

from steadfall.quantities import (
    AIR_USED,
    DIFFERENCE,
    DRAINED,
    DROP,
    FLOW,
    FREE_AIR,
    GRAMS,
    HEAT,
    HEIGHT,
    MASS,
    METRIC,
    OF_EACH,
    PER_MINUTE,
    PERCENT,
    PRESSURE,
    SPEED,
    STRESS,
    TEMPERATURE,
    US,
    VOLUME,
    Reading,
)

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("usual", "si", "from_", "to", "less"),
    [
        (TEMPERATURE, 400.0, "kelvin", "degree_Fahrenheit", 0.0),
        (DIFFERENCE, 40.0, "delta_degC", "delta_degF", 0.0),
        (PRESSURE, 8e5, "pascal", "psi", 1.0),
        (FLOW, 0.3, "kilogram / second", "pound / minute", 0.0),
        (STRESS, 160e6, "pascal", "ksi", 0.0),
        (MASS, 55.0, "kilogram", "pound", 0.0),
        (HEAT, 12e3, "watt", "kBtu_it / hour", 0.0),
        (SPEED, 3.0, "meter / second", "foot / second", 0.0),
        (DROP, 3e5, "pascal", "psi", 0.0),
        (FREE_AIR, 0.02, "meter ** 3 / second", "foot ** 3 / minute", 0.0),
        (AIR_USED, 9.0, "meter ** 3", "foot ** 3", 0.0),
        (VOLUME, 0.004, "meter ** 3", "gallon", 0.0),
        (HEIGHT, 0.5, "meter", "foot", 0.0),
        (OF_EACH, 3e5, "joule / kilogram", "Btu_it / pound", 0.0),
        (DRAINED, 4e7, "joule", "kBtu_it", 0.0),
        (GRAMS, 0.05, "kilogram", "ounce", 0.0),
        (PER_MINUTE, 0.1, "delta_degC / second", "delta_degF / minute", 0.0),
    ],
)
def test_it_is_what_pint_says(usual: Reading, si: float, from_: str, to: str, less: float) -> None:
    """`less`: so many atmospheres are taken off."""
    wanted = REGISTRY.Quantity(si, from_).to(to).magnitude
    if less:
        wanted -= less * REGISTRY.Quantity(1.0, "atm").to(to).magnitude
    assert US.of(usual).of(si) == pytest.approx(wanted, rel=1e-6)
    assert METRIC.of(usual) is usual


def test_a_percentage_is_one_everywhere() -> None:
    assert US.of(PERCENT) is PERCENT
