"""What follows from what is left to a bound on each grid."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadfall.predict.outcome.verdict import Verdict, verdict

margins = st.one_of(st.floats(-1e9, 1e9), st.sampled_from([math.inf, -math.inf]))


@pytest.mark.parametrize(
    ("left", "told"),
    [
        ([11.2], Verdict.KEPT),
        ([0.0], Verdict.KEPT),
        ([-0.1], Verdict.BROKEN),
        ([11.2, 9.0, 10.5], Verdict.KEPT),
        ([11.2, -3.9, 10.5], Verdict.NOT_RESOLVED),  # across the bound
        ([11.2, 10.5, -3.9], Verdict.NOT_RESOLVED),
        ([10.0, 4.0], Verdict.NOT_RESOLVED),  # moves by 6 where 4 are left
        ([10.0, 6.0], Verdict.KEPT),
        ([-10.0, -4.0], Verdict.NOT_RESOLVED),  # broken, but by less than it moves
        ([-10.0, -6.0], Verdict.BROKEN),
        ([math.inf, 5.0], Verdict.KEPT),  # never applied on one of the grids
        ([math.inf, -5.0], Verdict.NOT_RESOLVED),
        ([-math.inf, -5.0], Verdict.BROKEN),  # late on one, never reached on the other
        ([-math.inf, 5.0], Verdict.NOT_RESOLVED),
        ([math.nan], Verdict.BROKEN),
        ([5.0, math.nan], Verdict.NOT_RESOLVED),
    ],
)
def test_by_hand(left: list[float], told: Verdict) -> None:
    assert verdict(left) is told


@given(margins)
def test_one_grid_alone_settles_it(left: float) -> None:
    assert verdict([left]) is (Verdict.KEPT if left >= 0 else Verdict.BROKEN)


@given(st.lists(margins, min_size=1, max_size=4), margins)
def test_one_grid_more_never_turns_kept_into_broken(left: list[float], more: float) -> None:
    told = {verdict(left), verdict([*left, more])}
    assert told != {Verdict.KEPT, Verdict.BROKEN}
    assert verdict(left) is not Verdict.NOT_RESOLVED or verdict([*left, more]) is Verdict.NOT_RESOLVED


@given(
    st.lists(margins, min_size=2, max_size=4).flatmap(
        lambda left: st.tuples(st.just(left), st.permutations(left))
    )
)
def test_the_order_of_grids_does_not_count(both: tuple[list[float], list[float]]) -> None:
    left, other = both
    assert verdict(other) is verdict(left)
