"""Conditions that remember: a comparison with hysteresis, and a signal that goes on or off."""

from __future__ import annotations

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

SMALL = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")


def lamp(condition: str) -> Plan:
    return read_text(SMALL.replace("limits:\n", f"outputs:\n  lamp: {{on: {condition}}}\nlimits:\n"))


def shown(condition: str, name: str, course: list[Value]) -> list[bool]:
    scanner = Scanner(build(lamp(condition)))
    return [bool(scanner.scan(20, {name: value})["lamp"]) for value in course]


@pytest.mark.parametrize(
    ("op", "course"),
    [
        ("<", [(100.0, False), (95.0, False), (94.9, True), (97.9, True), (98.0, False), (96.0, False)]),
        ("<=", [(96.0, False), (95.0, True), (98.0, True), (98.1, False), (96.0, False)]),
        (">", [(95.0, False), (95.1, True), (92.1, True), (92.0, False), (94.0, False)]),
        (">=", [(94.9, False), (95.0, True), (92.0, True), (91.9, False), (94.0, False)]),
    ],
)
def test_a_comparison_holds_until_its_value_has_gone_back(op: str, course: list[tuple[float, bool]]) -> None:
    found = shown(
        f"upper.outlet_temperature {op} 95 degC with hysteresis 3 K",
        "upper.outlet_temperature",
        [value for value, _ in course],
    )
    assert found == [holds for _, holds in course]


@pytest.mark.parametrize(
    ("way", "expected"),
    [("on", [False, False, True, False, False]), ("off", [False, True, False, False, True])],
)
def test_a_signal_goes_on_or_off_for_one_scan(way: str, expected: list[bool]) -> None:
    assert shown(f"full_call goes {way}", "full_call", [True, False, True, True, False]) == expected


def test_what_is_on_when_power_comes_has_not_gone_on() -> None:
    assert shown("full_call goes on", "full_call", [True, True]) == [False, False]
    assert shown("full_call goes off", "full_call", [False, False]) == [False, False]
