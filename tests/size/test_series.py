from __future__ import annotations

import pytest

from steadfall.size.series import DN, R10, next_dn, next_kv


@pytest.mark.parametrize(
    ("least", "expected"),
    [(1.0, 1.0), (1.01, 1.25), (0.257, 0.315), (0.0315, 0.0315), (8.1, 10.0), (95.0, 100.0), (3.16, 4.0)],
)
def test_next_kv(least: float, expected: float) -> None:
    found = next_kv(least / 3600)
    assert found is not None
    assert found * 3600 == pytest.approx(expected)


@pytest.mark.parametrize("least", [0.0, -1.0, float("inf"), float("nan")])
def test_no_kv_would_do(least: float) -> None:
    assert next_kv(least) is None


@pytest.mark.parametrize(("bore", "expected"), [(0.0151, 20), (0.015, 15), (0.001, 6), (0.3001, None)])
def test_next_dn(bore: float, expected: int | None) -> None:
    assert next_dn(bore) == expected


def test_the_steps_are_preferred_numbers() -> None:
    """ISO 3: ten steps a decade, each the tenth root of 10 above the last, rounded by at most 1.3 %."""
    for k, step in enumerate(R10):
        assert step == pytest.approx(10 ** (k / 10), rel=0.013)
    assert list(DN) == sorted(set(DN))
