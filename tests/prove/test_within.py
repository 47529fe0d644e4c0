"""Where a requirement that does not hold for every setting does hold."""

from collections.abc import Callable

import pytest

from steadfall.plan.model import Setting
from steadfall.plan.read.whole import read_text
from steadfall.prove.whole.plan import prove_whole
from steadfall.prove.whole.within import edge
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")
BLOW = "settings: {blow_out_time: {default: 20 s, adjustable: 20 .. 20.04 s}}\ncircuit_types:\n"
LONG = "requirements:\n  - never: upper is blow_out and upper.stage_time >= 20.02 s\n"
NARROW = TEXT.replace("circuit_types:\n", BLOW).replace("for: 20 s", "for: blow_out_time") + LONG


@pytest.mark.slow
def test_the_range_of_a_setting_within_which_it_holds() -> None:
    (found,) = prove_whole(read_text(NARROW), ["stated.1"], workers=1).within
    assert found.sentence == "stated.1 holds with blow_out_time from 20 s to 20.02 s, whatever else is set"
    assert found.as_json()["high"] == pytest.approx(20.02)


def time_of(low: float, high: float) -> Setting:
    return Setting("dwell", "time", 10.0, low, high, "s")


@pytest.mark.parametrize(
    ("end", "good", "found"),
    [
        (12.0, lambda value: value <= 11.23, 11.23),
        (12.0, lambda value: value < 10.005, 10.0),
        (12.0, lambda value: value <= 12.0, 12.0),
        (4.0, lambda value: value >= 7.5, 7.5),
        (10.0, lambda _value: False, 10.0),
    ],
)
def test_as_far_as_it_holds(end: float, good: Callable[[float], bool], found: float) -> None:
    asked: list[float] = []

    def holds(value: float) -> bool:
        asked.append(value)
        return good(value)

    assert edge(time_of(4.0, 12.0), end, holds) == pytest.approx(found)
    assert len(asked) <= 12
