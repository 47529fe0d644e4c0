import subprocess
import sys
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadfall.dimensions import DIMENSIONS
from steadfall.units import (
    QuantityError,
    dimensions_of,
    exact,
    milliseconds,
    quantity,
    scale,
    shown,
    value_in,
    written,
)

SPELLINGS = [(name, spelling) for name, dimension in DIMENSIONS.items() for spelling in dimension.spellings]

# How pint's registry, which knows nothing of ours, spells each unit; gauge pressure it does not have.
PINT = {
    "degC": "degC",
    "degF": "degF",
    "%": "",
    "in": "inch",
    "t": "metric_ton",
    "min": "minute",
    "h": "hour",
    "l": "litre",
    "l/s": "litre / second",
    "l/min": "litre / minute",
    "m3/h": "metre ** 3 / hour",
    "m3/s": "metre ** 3 / second",
    "m2": "metre ** 2",
    "cm2": "centimetre ** 2",
    "W/m2/K": "watt / metre ** 2 / kelvin",
    "m3": "metre ** 3",
    "kg/m3": "kilogram / metre ** 3",
    "kg/h": "kilogram / hour",
    "kg/min": "kilogram / minute",
    "K/min": "kelvin / minute",
    "K/h": "kelvin / hour",
    "bara": "bar",
    "mbara": "millibar",
    "kPaa": "kilopascal",
    "MPaa": "megapascal",
    "psia": "psi",
}
GAUGE = {"barg": "bar", "mbarg": "millibar", "kPag": "kilopascal", "MPag": "megapascal", "psig": "psi"}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("dimension", "spelling"), SPELLINGS)
def test_scale_agrees_with_a_library_of_units(
    dimension: str, spelling: str, registry: pint.UnitRegistry[float]
) -> None:
    factor, offset = scale(spelling, dimension)
    if spelling == "%":
        assert (factor, offset) == (1.0, 0.0)  # percent stay percent inside
        return
    unit = GAUGE.get(spelling) or PINT.get(spelling, spelling)
    zero, one = (registry.Quantity(value, unit).to_base_units().magnitude for value in (0.0, 1.0))
    if unit == "percent" or dimension in ("mass", "mass_flow", "density"):
        zero, one = (registry.Quantity(value, unit).to(_si(dimension)).magnitude for value in (0.0, 1.0))
    above = 101325.0 if spelling in GAUGE else 0.0
    assert factor == pytest.approx(one - zero, rel=1e-12)
    assert offset == pytest.approx(zero + above, rel=1e-12)


def _si(dimension: str) -> str:
    return {"mass": "kg", "mass_flow": "kg/s", "density": "kg/m**3"}[dimension]


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("4 barg", "pressure", 501325.0),  # 4e5 + 101325 Pa
        ("14 degC", "temperature", 287.15),
        ("212 degF", "temperature", 373.15),
        ("0 psig", "pressure", 101325.0),
        ("3.6 m3/h", "kv", 0.001),
        ("3 K/min", "fall_rate", 0.05),
        ("1e-6 1/K", "expansion", 1e-6),
        ("-5 degC", "temperature", 268.15),
        ("+5 K", "temperature_difference", 5.0),
        ("40 %", "percent", 40.0),
    ],
)
def test_reads(text: str, dimension: str, value: float) -> None:
    assert quantity(text, dimension) == value


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("4 bar", "gauge-or-absolute"),
        ("4 MPa", "gauge-or-absolute"),
        ("4 bar(g)", "unknown-unit"),
        ("4 bar g", "unknown-unit"),
        ("4  barg", "spelling"),
        ("4barg", "spelling"),
        ("4\tbarg", "spelling"),
        ("4", "missing-unit"),
        ("4 ", "not-a-quantity"),
        ("1_000 barg", "not-a-number"),
        ("1,5 barg", "decimal-comma"),
        ("1e400 barg", "not-a-number"),
        ("1e40 barg", "not-a-number"),
        ("11e-75 barg", "not-a-number"),
        ("4. barg", "not-a-number"),
        ("1E3 barg", "not-a-number"),
        ("nan barg", "not-a-quantity"),
        ("inf barg", "not-a-quantity"),
        ("0x10 barg", "not-a-number"),
        ("٤ barg", "not-a-quantity"),  # digits of another script
        ("4 degC", "wrong-dimension"),
        ("4 K", "wrong-dimension"),
        ("", "not-a-quantity"),
    ],
)
def test_refuses(text: str, slug: str) -> None:
    with pytest.raises(QuantityError) as caught:
        quantity(text, "pressure")
    assert caught.value.slug == slug


def test_level_and_difference_are_kept_apart() -> None:
    with pytest.raises(QuantityError):
        quantity("140 K", "temperature")
    with pytest.raises(QuantityError):
        quantity("10 degC", "temperature_difference")


def test_whole_milliseconds() -> None:
    assert milliseconds("0.8 s") == 800
    assert milliseconds("1.5 min") == 90_000
    with pytest.raises(QuantityError):
        milliseconds("0.0005 s")


@pytest.mark.parametrize(
    ("text", "ms"), [("4:40", 280_000), ("0:00.125", 125), ("90:00", 5_400_000), ("1:04:40", 3_880_000)]
)
def test_a_time_as_manuals_write_it(text: str, ms: int) -> None:
    assert milliseconds(text) == ms


@pytest.mark.parametrize("text", ["4:60", "4:4", "1:60:00", "1:2:03", "4:", "4:40:", "4:40.1234"])
def test_what_is_no_such_time(text: str) -> None:
    with pytest.raises(QuantityError, match="minutes and seconds"):
        milliseconds(text)


def test_a_spelling_of_two_dimensions() -> None:
    assert dimensions_of("m3/h") == ("kv", "volume_flow")
    assert exact("3 m3/h", ("pressure", "volume_flow"))[1] == "volume_flow"


@given(st.sampled_from(SPELLINGS), st.decimals(-1000, 100000, places=4))
def test_what_is_written_is_read_as_the_same(spelling: tuple[str, str], number: Fraction) -> None:
    dimension, unit = spelling
    value = quantity(f"{number:f} {unit}", dimension)
    for how in (unit, None):
        assert quantity(written(value, dimension, how), dimension) == value


@pytest.mark.parametrize(
    "text", ["1e-15 1/K", "1.23456789012345678e-15 1/K", "999999999999999 1/K", "0 1/K", "1e-5 1/K"]
)
def test_the_ends_of_what_can_be_written(text: str) -> None:
    value = quantity(text, "expansion")
    assert quantity(written(value, "expansion"), "expansion") == value


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [
        (501325.0, "pressure", "4 barg"),
        (0.05, "fall_rate", "3 K/min"),
        (3.0, "fall_rate", "3 K/s"),
        (343.15, "temperature", "70 degC"),
        (343.27, "temperature", "70.1 degC"),
        (0.0, "length", "0 mm"),
        (5400.0, "time", "90 min"),
        (123456.0, "mass", "123456 kg"),
    ],
)
def test_shown_to_people(value: float, dimension: str, text: str) -> None:
    assert shown(value, dimension) == text


def test_value_in_is_the_inverse_of_scale() -> None:
    assert value_in(501325.0, "barg") == 4.0
    assert value_in(373.15, "degF") == pytest.approx(212.0)


def test_quantities_are_read_without_a_library() -> None:
    """Every command reads some, and most of them need no arrays."""
    code = (
        "import sys\n"
        "from steadfall.units import quantity\n"
        "assert quantity('4 barg', 'pressure') == 501325.0\n"
        "print(sys.modules.keys() & {'numpy', 'pint', 'scipy'})\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
