"""Requirements by their own names."""

from steadfall.plan.read.whole import read_text
from steadfall.prove.requirements.whole import watched
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "done").read_text(encoding="utf-8")


def test_a_requirement_goes_by_its_name() -> None:
    found = watched(read_text(TEXT + "  - never: upper.mist and tripped\n")).required[:6]
    wanted = ["done_means_done", "no_water_when_tripped", "short_doses", "seldom", "a_trip_ends_dosing", "6"]
    assert [row.name for row in found] == [f"stated.{name}" for name in wanted]
    assert found[0].sentence.startswith("done means done: Whenever the cool-down is done, then")
    assert found[5].sentence.startswith("It never happens")
