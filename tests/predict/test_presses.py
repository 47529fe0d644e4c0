"""Buttons in a scenario: they are pressed and let go again, after the controller has seen them at rest."""

from __future__ import annotations

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.predict.inputs.scenario import PRESS_MS, course
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "buttons").read_text(encoding="utf-8")


def plan() -> Plan:
    return read_text(TEXT)


def test_a_press_ends_by_itself_and_a_closed_button_opens() -> None:
    found = course(plan(), "stopped")
    assert found.start["stop_button"] == 1.0
    assert found.changes == (
        (1, "lower_start", 1.0),
        (1, "start_button", 1.0),
        (1 + PRESS_MS, "lower_start", 0.0),
        (1 + PRESS_MS, "start_button", 0.0),
        (60_000, "stop_button", 0.0),
        (60_000 + PRESS_MS, "stop_button", 1.0),
    )


def test_a_slow_controller_is_given_two_scans() -> None:
    slow = read_text(TEXT.replace("nominal: 20 ms, longest: 40 ms", "nominal: 400 ms, longest: 600 ms"))
    assert (60_000 + 1200, "stop_button", 1.0) in course(slow, "stopped").changes


def test_the_default_presses_the_start_buttons() -> None:
    found = course(plan())
    pressed = {name for _, name, value in found.changes if value}
    assert pressed == {"start_button", "lower_start"}
    assert found.release == {}  # the plan says when it is done


def test_without_an_end_somebody_presses_stop() -> None:
    lines = [line for line in TEXT.splitlines(keepends=True) if not line.startswith("done:")]
    assert course(read_text("".join(lines))).release == {"stop_button": 0.0}
