"""What a revision does to the plant, from two predictions."""

import pytest

from steadfall.plan.read.whole import read_text
from steadfall.predict.outcome.effect import Effect, effects
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from steadfall.quantities import PRESSURE
from steadfall.report.text.comparison import effect_text
from steadfall.report.words.effect import effect_rows
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "done").read_text(encoding="utf-8")
WARM = TEXT.replace("start: 160 degC", "start: 76 degC")
TITLES = ("old.yaml", "new.yaml")


def prediction(text: str) -> Prediction:
    plan = read_text(text)
    return predict(plan, None, coarse(plan))


@pytest.fixture(scope="module")
def found() -> dict[str, Effect]:
    """Full water a minute later."""
    later = prediction(WARM.replace("after 45 s", "after 105 s"))
    return {one.what: one for one in effects(prediction(WARM), later)}


def test_every_figure_stands_once(found: dict[str, Effect]) -> None:
    own = ("wall shock", "peak pressure", "water")
    circuits = [f"{name}: {what}" for name in ("upper", "lower") for what in own]
    ends = ["upper_platen below its goal", "end of the run"]
    assert list(found) == [*ends, *circuits, "water in all", "air in all"]


def test_later_water_ends_later_with_more_air(found: dict[str, Effect]) -> None:
    end, air = found["end of the run"], found["air in all"]
    assert end.first is not None
    assert end.second is not None
    assert end.second > end.first + 20
    assert (air.second or 0.0) > (air.first or 0.0)
    total = (found["upper: water"].first or 0.0) + (found["lower: water"].first or 0.0)
    assert found["water in all"].first == pytest.approx(total)


def test_the_table(found: dict[str, Effect]) -> None:
    lines = effect_text(tuple(found.values()), TITLES).splitlines()
    assert lines[1].split() == ["old.yaml", "new.yaml", "difference"]
    assert len(lines) == 2 + len(found)
    assert len({len(line) for line in lines[1:]}) == 1
    missed = Effect("goal", 60.0, None, found["end of the run"].reading, is_time=True)
    assert effect_text((missed,), TITLES).splitlines()[-1].split() == ["goal", "1:00", "not", "reached"]


def test_a_difference_of_nothing_has_no_minus() -> None:
    less, more = Effect("a", 2e5, 2e5 - 3, PRESSURE), Effect("b", 1e5, 2e5, PRESSURE)
    sooner = Effect("c", 10.0, 9.7, PRESSURE, is_time=True)
    assert [row[-1] for row in effect_rows((less, more, sooner), TITLES)[1:]] == ["+0.00", "+1.00", "+0:00"]
