"""The constants: each against an outside source, and none of them written down a second time."""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import scipy.constants
from CoolProp.CoolProp import PropsSI

import steadfall
from steadfall import constants as c

PACKAGE = Path(steadfall.__file__).parent
TABLE = PACKAGE / "constants.py"

OUTSIDE = {
    "ZERO_CELSIUS": scipy.constants.zero_Celsius,
    "TRIPLE_POINT": PropsSI("Ttriple", "Water"),
    "ATMOSPHERE": scipy.constants.atm,
    "G": scipy.constants.g,
    "MOLAR_GAS": scipy.constants.R,
    "STEFAN_BOLTZMANN": scipy.constants.Stefan_Boltzmann,
    "M_AIR": PropsSI("molar_mass", "Air"),
    "M_WATER": PropsSI("molar_mass", "Water"),
    "M_NITROGEN": PropsSI("molar_mass", "Nitrogen"),
    "R_AIR": scipy.constants.R / PropsSI("molar_mass", "Air"),
    "R_STEAM": scipy.constants.R / PropsSI("molar_mass", "Water"),
    "R_NITROGEN": scipy.constants.R / PropsSI("molar_mass", "Nitrogen"),
}
NAMED = {name: value for name, value in vars(c).items() if isinstance(value, float)}

ALIKE = 6e-4  # relative: 287.0, 9.81, 5.67e-8 and 273 are caught as well
FEWEST_DIGITS = 3  # a number of fewer digits may mean anything
NUMBER = re.compile(r"(?<![\w.])\d[\d_]*(?:\.\d+)?(?:[eE][+-]?\d+)?")
ELSEWHERE = {("plant/kernel/losses.py", "273.0")}  # K, where White's table of Sutherland's law begins


@pytest.mark.parametrize("name", sorted(set(NAMED) - {"WATER"}))
def test_each_constant_is_what_an_outside_source_has(name: str) -> None:
    assert NAMED[name] == pytest.approx(OUTSIDE[name], rel=1e-9)


def test_the_density_of_works_water_is_that_of_iapws() -> None:
    assert PropsSI("D", "T", c.ZERO_CELSIUS + 14.0, "P", 5e5, "Water") == pytest.approx(c.WATER, abs=0.5)


def test_no_constant_stands_a_second_time() -> None:
    found = [
        f"{place}: {text} is {name}"
        for path in sorted(PACKAGE.rglob("*"))
        if path != TABLE and path.suffix in {".py", ".js", ".j2", ".lark", ".css"}
        for place, text in numbers(path)
        for name in meant(text)
        if (path.relative_to(PACKAGE).as_posix(), text) not in ELSEWHERE
    ]
    assert not found


@pytest.mark.parametrize(
    "text", ["287.06", "101_325.0", "1.01325", "980665", "5.67e-8", "273.15", "0.0289652"]
)
def test_a_copy_is_known_whatever_its_unit_and_digits(text: str) -> None:
    assert meant(text)


@pytest.mark.parametrize("text", ["1000.0", "0.27", "960.0", "2.2e9", "29", "100000"])
def test_another_number_is_left_alone(text: str) -> None:
    assert not meant(text)


def numbers(path: Path) -> Iterator[tuple[str, str]]:
    """Every number of a file with its place: literals and texts of Python but its docstrings, else all."""
    text = path.read_text(encoding="utf-8")
    where = path.relative_to(PACKAGE).as_posix()
    if path.suffix != ".py":
        for line, content in enumerate(text.splitlines(), start=1):
            yield from ((f"{where}:{line}", found) for found in NUMBER.findall(content))
        return
    tree = ast.parse(text)
    prose = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or id(node) in prose or isinstance(node.value, bool):
            continue
        if isinstance(node.value, int | float):
            yield f"{where}:{node.lineno}", repr(node.value)
        elif isinstance(node.value, str):
            yield from ((f"{where}:{node.lineno}", found) for found in NUMBER.findall(node.value))


def meant(text: str) -> list[str]:
    """The constants that a number is a copy of, powers of ten aside."""
    digits = re.sub(r"[eE].*|[._]", "", text).strip("0")
    value = float(text.replace("_", ""))
    if len(digits) < FEWEST_DIGITS or value == 0.0 or not math.isfinite(value):
        return []
    return [name for name, known in NAMED.items() if known != c.WATER and alike(value, known)]


def alike(one: float, other: float) -> bool:
    """Whether two numbers have the same first digits."""
    off = math.log10(one / other) % 1.0
    return min(off, 1.0 - off) < ALIKE / math.log(10.0)
