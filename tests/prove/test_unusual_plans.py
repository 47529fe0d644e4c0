"""What follows from a plan that is not quite as others are holds too, and has its occasion.

Each was found by proving made-up plans (`tests.prove.made_up`).
"""

from __future__ import annotations

import pytest
from attrs import evolve

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import PROVED, Verdict
from steadfall.prove.whole.run import prove
from tests.plan.paths import GOOD
from tests.prove.plans import guarded

FIRST_DOSES = "mist: {open: 0.5 s, shut: 0.5 s, for: 6 s, then: open}"
HELD = ", once its shortest opening is over."


def without_finish(plan: Plan) -> Plan:
    """The plan with circuits that come from their stages to idle at once."""
    types = {name: evolve(one, finish=(), cold_start="idle") for name, one in plan.circuit_types.items()}
    return evolve(plan, circuit_types=types)


def proved(plan: Plan, *names: str) -> dict[str, Verdict]:
    found = {row.required.name: row for row in prove(plan, names, Ask(effort=20_000_000), workers=1).verdicts}
    assert {name: row.verdict for name, row in found.items()} == dict.fromkeys(found, PROVED)
    return found


@pytest.mark.parametrize(("shortest_open_ms", "held"), [(300, True), (0, False)])
def test_without_a_finish_the_shortest_opening_ends_in_idle(shortest_open_ms: int, held: bool) -> None:
    plan = without_finish(guarded(shortest_open_ms=shortest_open_ms))
    row = proved(plan, "upper.mist.at_rest")["upper.mist.at_rest"]
    assert row.required.sentence.endswith(HELD) is held


def test_a_finish_step_that_is_longer_leaves_nothing_to_hold() -> None:
    row = proved(guarded(shortest_open_ms=50), "upper.mist.at_rest")["upper.mist.at_rest"]
    assert row.required.sentence == "upper.mist is shut in idle."


@pytest.mark.parametrize(
    ("doses", "many"),
    [
        ("{open: 0.5 s, shut: 3 s, for: 2 s, then: open}", 4),  # the pause is not over
        ("{open: 0.5 s, shut: 1 s, for: 400 ms, then: shut}", 3),  # nor is the dose
    ],
)
def test_first_doses_that_end_within_a_cycle_are_no_empty_sentence(doses: str, many: int) -> None:
    text = next(path for path in GOOD if path.stem == "dose_then").read_text(encoding="utf-8")
    assert FIRST_DOSES in text
    plan = read_text(text.replace(FIRST_DOSES, f"mist: {doses}"))
    assert len(proved(plan, "upper.wetting.mist_dose")) == many
