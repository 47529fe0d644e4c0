"""The search alone, on functions with known fronts and on grids that can be tried whole."""

import math
from collections.abc import Sequence

import numpy as np

from steadfall.dose.aim import Score
from steadfall.dose.search import Search, begin, neighbours, search
from steadfall.dose.variable import Point

FINE = 101  # values of a variable


def zdt(shape: int, x: Sequence[float]) -> tuple[float, float]:
    """Zitzler, Deb and Thiele, Comparison of multiobjective evolutionary algorithms: empirical results,
    Evolutionary Computation 8 (2000) 173-195, functions T1, T2 and T3: two parts, on the front g = 1.
    """
    g = 1.0 + 9.0 * sum(x[1:]) / (len(x) - 1)
    share = x[0] / g
    h = {
        1: 1.0 - math.sqrt(share),
        2: 1.0 - share**2,
        3: 1.0 - math.sqrt(share) - share * math.sin(10.0 * math.pi * x[0]),
    }[shape]
    return x[0], g * h


def fronted(shape: int) -> list[tuple[float, float]]:
    """What is found of a function: the points that no other beats."""
    known: dict[Point, Score] = {}

    def attempt(points: Sequence[Point]) -> dict[Point, Score]:
        for point in points:
            known[point] = Score(zdt(shape, [place / (FINE - 1) for place in point]), 0.0)
        return {point: known[point] for point in points}

    counts = (FINE,) * 6
    search(Search(counts, (), 3000, 2), attempt, lambda: min(known, key=lambda point: known[point].parts[1]))
    table = sorted({one.parts for one in known.values()})
    kept: list[tuple[float, float]] = []
    for first, second in table:
        if not kept or second < kept[-1][1]:
            kept.append((first, second))
    return kept


def test_known_fronts_are_found() -> None:
    for shape in (1, 2, 3):
        kept = fronted(shape)
        true = [zdt(shape, (first, 0.0, 0.0, 0.0, 0.0, 0.0))[1] for first, _ in kept]
        away = [second - on for (_, second), on in zip(kept, true, strict=True)]
        assert len(kept) >= 25
        assert min(away) >= -1e-12  # nothing beats the front
        assert float(np.mean(away)) < 0.02
        assert kept[0][0] < 0.05
        assert kept[-1][0] > 0.8


def himmelblau(point: Point) -> Score:
    """Himmelblau, Applied nonlinear programming (1972), with a ring about the origin forbidden."""
    x, y = (place / 20.0 - 5.0 for place in point)
    value = (x * x + y - 11.0) ** 2 + (x + y * y - 7.0) ** 2
    return Score((value,), max(0.0, x + y - 4.0))


def test_the_best_of_a_whole_grid_is_found_with_a_fraction_of_its_points() -> None:
    counts = (201, 201)
    every = [(i, j) for i in range(counts[0]) for j in range(counts[1])]
    true = min(himmelblau(point).parts[0] for point in every if himmelblau(point).beyond == 0.0)
    known: dict[Point, Score] = {}

    def attempt(points: Sequence[Point]) -> dict[Point, Score]:
        known.update({point: himmelblau(point) for point in points})
        return {point: known[point] for point in points}

    def best() -> Point | None:
        kept = [point for point, one in known.items() if one.beyond == 0.0]
        return min(kept, key=lambda point: (known[point].parts, point)) if kept else None

    search(Search(counts, ((100, 100),), 600), attempt, best)
    assert len(known) <= 600
    found = best()
    assert found is not None
    assert known[found].parts[0] <= true + 0.02 * 170.0  # of the value in the middle


def test_no_point_is_tried_twice_and_none_beyond_the_most() -> None:
    tried: list[Point] = []

    def attempt(points: Sequence[Point]) -> dict[Point, Score]:
        tried.extend(points)
        return {point: Score((float(sum(point)),), 0.0) for point in points}

    search(Search((7, 5, 3), ((3, 3, 1),), 60), attempt, lambda: min(tried, key=sum))
    assert len(tried) == len(set(tried)) <= 60
    assert min(tried, key=sum) == (0, 0, 0)
    assert all(0 <= place < count for point in tried for place, count in zip(point, (7, 5, 3), strict=True))


def test_the_same_seed_finds_the_same_and_another_looks_elsewhere() -> None:
    first = begin(Search((50, 50), ((10, 10),), 100, seed=1), 16)
    assert first == begin(Search((50, 50), ((10, 10),), 100, seed=1), 16)
    assert first != begin(Search((50, 50), ((10, 10),), 100, seed=2), 16)
    assert first[0] == (10, 10)
    assert len(set(first)) == 16


def test_a_grid_smaller_than_a_generation_is_tried_whole() -> None:
    tried: list[Point] = []

    def attempt(points: Sequence[Point]) -> dict[Point, Score]:
        tried.extend(points)
        return {point: Score((float(-sum(point)),), 0.0) for point in points}

    search(Search((2, 2), ((0, 0),), 100), attempt, lambda: max(tried, key=sum))
    assert (1, 1) in tried
    assert len(tried) <= 4


def test_steps_stay_within_the_grid() -> None:
    assert neighbours((11, 101), (0, 100), 10) == [(1, 100), (0, 90)]
