"""The curves around a filter hold what it makes at any moments of scans, and lie close to it."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from itertools import pairwise
from math import inf
from statistics import median

import pytest

from steadfall.bench.judge.explain.smoothed import Course, Shown, course
from steadfall.bench.judge.explain.way import Exact
from steadfall.logic.filters import Filter, filter_of, filtered
from steadfall.logic.forms import TRUE, all_of, less, real
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Compare, Node, Previous, Read, Since, Type
from steadfall.scan.interpreter import Scanner

SCANS, CYCLE, TIME = (20, 40), 50, 2_000
LOW, HIGH = 0.0, 250.0


def good(value: Node) -> Node:
    return all_of((Compare(">", value, real(LOW)), less(value, real(HIGH))))


def network() -> Network:
    reading, before = Read("x", Type.REAL), Previous("y", Type.REAL)
    node = filtered(before, reading, (good(reading), good(before)), Read("dt", Type.TIME), real(1.0 / TIME))
    rows = (
        Assignment("every", Type.BOOL, TRUE, False),
        Assignment("dt", Type.TIME, Since("every", 86_400_000), 86_400_000),
        Assignment("y", Type.REAL, node, -300.0),
    )
    return Network((Input("x", Type.REAL),), rows, ())


def readings(seed: int, shape: str) -> list[tuple[float, float]]:
    """When each is written, and what it is: it falls, scatters, jumps, or is bad for a while."""
    dice, found = random.Random(seed), list[tuple[float, float]]()
    for at in range(400):
        value = MADE[shape](at, dice)
        found.append((float(at * CYCLE + dice.randint(0, 3)), value))
    return found


MADE: Mapping[str, Callable[[int, random.Random], float]] = {
    "falls": lambda at, _: 150.0 - 0.05 * at,
    "scatters": lambda _, dice: dice.gauss(120.0, 0.5),
    "jumps": lambda at, _: 60.0 if at // 90 % 2 else 140.0,
    "is bad": lambda at, _: -8.0 if at % 60 > 50 else 140.0 - 0.1 * at,
    "is bad for a moment": lambda at, dice: 300.0 if dice.random() < 0.02 else 140.0 - 0.1 * at,
}


def course_of(written: list[tuple[float, float]], first: float | None) -> Course:
    of = filter_of(network().assignments[-1])
    assert of == Filter("y", Read("x", Type.REAL), good(Read("x", Type.REAL)), TIME, -300.0)
    ends = [*((after, after) for _, (after, _) in pairwise(written)), (inf, inf)]
    shown = [
        Shown(at if place else -inf, end, value, LOW < value < HIGH)
        for place, ((at, value), (end, _)) in enumerate(zip(written, ends, strict=True))
    ]
    return course(of, shown, Exact(*SCANS), first)


def scanned(
    written: list[tuple[float, float]], seed: int, between: tuple[int, int]
) -> list[tuple[int, float]]:
    """The moment of each scan, and what the filter made in it."""
    dice, scanner, found = random.Random(seed), Scanner(network()), list[tuple[int, float]]()
    now, last = dice.randint(0, SCANS[1]), 0
    while now < 400 * CYCLE:
        value = max((at, value) for at, value in written if at <= max(now, written[0][0]))[1]
        values = scanner.scan(now - last if found else 0, {"x": value})
        found.append((now, float(values["y"])))
        last, now = now, now + dice.randint(*between)
    return found


@pytest.mark.parametrize("shape", MADE)
@pytest.mark.parametrize("between", [SCANS, (20, 20), (40, 40)])
def test_no_scan_is_beyond_the_curves(shape: str, between: tuple[int, int]) -> None:
    written = readings(3, shape)
    curves = course_of(written, float(SCANS[1]))
    for at, value in scanned(written, 5, between):
        found = curves.between(at, at)
        assert found.low <= value <= found.high, at
        wide = curves.between(at - 300, at + 300)
        assert wide.low <= found.low <= found.high <= wide.high


@pytest.mark.parametrize(
    ("shape", "most"),
    [
        ("falls", 0.05 * 2.5),  # what it falls in two and a half cycles: the longest scan twice over
        ("scatters", 0.8),  # of deviations of 0.5: what two draws that follow each other are apart
    ],
)
def test_the_curves_lie_close(shape: str, most: float) -> None:
    curves = course_of(readings(3, shape), float(SCANS[1]))
    wide = [found.high - found.low for found in (curves.between(at, at) for at in range(2_000, 18_000, 7))]
    assert most / 4 < median(wide) < most


def test_moments_of_a_level_are_those_at_which_it_may_be_reached() -> None:
    curves = course_of(readings(3, "falls"), float(SCANS[1]))
    begin, end = curves.when(0.0, 20_000.0, 140.0, above=False)
    assert end == 20_000.0
    assert curves.between(0.0, begin - 1).low > 140.0
    assert curves.between(begin, begin + CYCLE).low <= 140.0
    assert 12_000 - CYCLE < begin < 12_000  # 2 s after the reading, less the time until it can be seen
