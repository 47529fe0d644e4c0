"""Two controllers with ramps and shares: equal where they are, and plain differences replayed in both."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import attrs
import pytest

from steadfall.logic.build.whole import build
from steadfall.plan.model import Demand, Plan, Ramp, Share
from steadfall.plan.model.condition import Signal
from steadfall.prove.compare.compare import compare
from steadfall.prove.compare.compared import EQUAL
from steadfall.prove.compare.partings import keep, searched
from steadfall.prove.compare.side_by_side import Pair
from steadfall.runs.player import Interpreter
from steadfall.st.bring import bring
from steadfall.st.write.whole import structured_text
from tests.logic import plans as small

FALL = Ramp("fall", "heat", Signal("full_call"), 0.5, 323.15, 10.0)


def ramped(climb_ms: int = 30_000, hysteresis: float = 2.0, cycle_ms: int = 8000, **ramp: Any) -> Plan:
    """Two circuits that dose by the demand of a ramp, one of them later."""
    first = small.stage("dosing", small.after(climb_ms), sweep=small.OPEN, mist=Share("fall", cycle_ms))
    stages = (first, small.stage("full", mist=small.OPEN))
    demand = Demand("fall", {"dosing": 5.0, "full": 95.0}, hysteresis, ("upper", "lower"))
    circuits = {"upper": 0, "lower": 1600}
    return small.plan(
        small.circuit_type(stages), circuits=circuits, calls=(demand,), ramps=(attrs.evolve(FALL, **ramp),)
    )


def test_a_share_that_two_circuits_work_out_alike_is_equal_to_its_text(tmp_path: Path) -> None:
    plan, code = ramped(), tmp_path / "controller.st"
    code.write_text(structured_text(plan).text, encoding="utf-8")
    network = build(plan)
    found = compare(plan, network, bring(plan, code))
    assert {row.name: row.verdict for row in found.each} == dict.fromkeys(network.outputs, EQUAL)
    assert all(row.rechecked for row in found.each)


@pytest.mark.parametrize(
    "other", [{"climb_ms": 61_000}, {"hysteresis": 2.2}, {"to": 324.15}, {"band": 10.1}], ids=str
)
def test_a_plain_difference_parts_in_both(other: dict[str, Any]) -> None:
    one, two = build(ramped()), build(ramped(**other))
    found, _ = searched(Pair(ramped(), one, two, 40), ("upper.mist", 12_000_000))
    assert found is not None
    assert not found.fewest  # real numbers leave out what is all but equal
    (*_, ours), (*_, theirs) = (list(Interpreter(side).play(found.run)) for side in (one, two))
    assert ours.values["upper.mist"] != theirs.values["upper.mist"]


def test_one_as_early_says_only_what_it_knows() -> None:
    one, two = build(ramped()), build(ramped(hysteresis=2.2))
    found, _ = searched(Pair(ramped(), one, two, 40), ("upper.sweep", 12_000_000))
    assert found is not None
    known = {"upper.sweep": found}
    keep(known, "upper.sweep", found)
    assert not known["upper.sweep"].fewest
