"""The way of a circuit's passes over the parts of its host."""

from __future__ import annotations

import numpy as np
import pytest

from steadfall.plan.meaning.way import over_parts, pair_shares
from steadfall.plan.model import Order, Run
from steadfall.plan.model.equipment import Path


def path(*runs: Run) -> Path:
    return Path(0.014, 18.0, 2, 0.008, "carbon steel", 2900.0, 0, 5e-5, way=runs)


OUT_BACK = path(Run(Order.OUT), Run(Order.BACK))


@pytest.mark.parametrize(
    ("given", "rows"),
    [
        (path(), [(1, 0), (1, 0), (0, 1), (0, 1)]),
        (path(Run(Order.BACK)), [(0, 1), (0, 1), (1, 0), (1, 0)]),
        (path(Run(Order.OUT_AND_BACK)), [(1, 0), (0, 1), (0, 1), (1, 0)]),
        (path(Run(Order.BACK_AND_OUT)), [(0, 1), (1, 0), (1, 0), (0, 1)]),
        (path(Run((1, 2, 1, 1))), [(1, 0), (0, 1), (1, 0), (1, 0)]),
        (OUT_BACK, [(0.5, 0.5)] * 4),
        (path(Run(Order.OUT, 75.0), Run(Order.BACK, 25.0)), [(0.75, 0.25)] * 2 + [(0.25, 0.75)] * 2),
    ],
)
def test_each_cell_touches_the_parts_that_its_length_of_the_way_touches(
    given: Path, rows: list[tuple[float, float]]
) -> None:
    assert over_parts(given, 2, 4) == tuple(rows)


@pytest.mark.parametrize("cells", [3, 8, 20, 77])
@pytest.mark.parametrize("parts", [1, 2, 3, 7, 40])
def test_shares_add_up_whatever_the_grid(parts: int, cells: int) -> None:
    for given in (path(), OUT_BACK, path(Run(Order.OUT_AND_BACK))):
        shares = np.array(over_parts(given, parts, cells))
        np.testing.assert_allclose(shares.sum(axis=1), 1.0, rtol=1e-12)
        np.testing.assert_allclose(shares.mean(axis=0), 1.0 / parts, rtol=1e-12)


def test_things_along_each_other_meet_part_by_part() -> None:
    assert pair_shares(1, 2) == [(0, 0, 0.5), (0, 1, 0.5)]
    assert pair_shares(2, 2) == [(0, 0, 0.5), (1, 1, 0.5)]
    thirds = pair_shares(2, 3)
    assert [pair[:2] for pair in thirds] == [(0, 0), (0, 1), (1, 1), (1, 2)]
    assert [pair[2] for pair in thirds] == pytest.approx([1 / 3, 1 / 6, 1 / 6, 1 / 3])
