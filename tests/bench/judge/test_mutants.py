"""A text whose numbers differ from the plan's fails where its cases exercise them; the right one passes."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.app.bench import How, rehearse
from steadfall.app.given.controller import controller
from steadfall.bench.judge.finding import Said
from steadfall.st.write.whole import structured_text
from tests.bench.made import plan_of

LONG = 6
# What a person may slip in, and six seconds come by; each by a poll and two scans at least.
SLIPS = {
    "opens longer": ("T#800ms", "T#940ms"),
    "opens shorter": ("T#800ms", "T#660ms"),
    "pauses longer": ("T#2s400ms", "T#2s540ms"),
    "pauses shorter": ("T#2s400ms", "T#2s260ms"),
    "waits longer": ("T#1s600ms", "T#1s750ms"),
    "does not wait": ("LOWER_DELAY_DOSES : TIME := T#1s600ms", "LOWER_DELAY_DOSES : TIME := T#0s"),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_found(slip: str, tmp_path: Path) -> None:
    plan, (right, wrong) = plan_of("small"), SLIPS[slip]
    text = structured_text(plan).text
    assert right in text
    file = tmp_path / "controller.st"
    file.write_text(text.replace(right, wrong), encoding="utf-8")
    found = rehearse(plan, How(lasting_s=LONG), controller(plan, file)).judged.conforms
    assert found.said is Said.FAIL, slip
    assert found.line > 0


def test_the_text_as_it_was_emitted_passes(tmp_path: Path) -> None:
    plan, file = plan_of("small"), tmp_path / "controller.st"
    file.write_text(structured_text(plan).text, encoding="utf-8")
    assert rehearse(plan, How(lasting_s=LONG), controller(plan, file), seed=7).good
