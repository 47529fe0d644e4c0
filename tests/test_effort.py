"""The counter of work counts, and ends what would not end."""

import pytest

from tests.effort import at_most


def nothing() -> None:
    """Is called."""


def test_little_work_passes() -> None:
    with at_most(20):
        for _ in range(10):
            nothing()


def without_end() -> None:
    while True:
        nothing()


def test_work_without_end_is_ended() -> None:
    with at_most(1000), pytest.raises(AssertionError, match="more than 1000 calls"):
        without_end()
