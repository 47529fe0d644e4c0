"""A comparison, denied or with its sides swapped, comes out as its row says."""

from __future__ import annotations

from itertools import product

import pytest

from steadfall.comparisons import HOLDS, MIRROR, NEGATION, ORDERED

PAIRS = list(product((-1, 0, 2), repeat=2))


@pytest.mark.parametrize("op", HOLDS)
def test_each_row(op: str) -> None:
    for left, right in PAIRS:
        assert HOLDS[NEGATION[op]](left, right) is not HOLDS[op](left, right)
        assert HOLDS[MIRROR[op]](right, left) is HOLDS[op](left, right)


def test_those_without_order_are_the_rest() -> None:
    assert set(HOLDS) - set(ORDERED) == {"=", "<>"}
