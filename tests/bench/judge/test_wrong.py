"""Something is wrong with controller or link: a session ends as promised (`benchmarks.bench_faults`)."""

from __future__ import annotations

import pytest

from tests.bench.made import plan_of
from tests.bench.wrong import KINDS, held


@pytest.mark.parametrize("kind", list(KINDS)[1:9:2])
def test_a_fault_is_found(kind: str) -> None:
    assert held(plan_of("small"), kind, 3).as_promised, kind
