"""A proof that leaves requirements out, since the controller's text lacks their signals, is not good."""

from __future__ import annotations

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Constant, Read, Type
from steadfall.prove.decide.result import PROVED, Proof
from steadfall.prove.whole.run import prove
from steadfall.report.page.proof import in_words
from steadfall.report.text.verdicts import summary
from tests.prove.plans import guarded

PLAN = guarded()


def proved(*only: str) -> Proof:
    """Of a text that opens the water with the air, and knows no stages."""
    own, air = build(PLAN), Read("air_ok", Type.BOOL)
    shut = Constant(False, Type.BOOL)
    rows = (Assignment(name, Type.BOOL, air if name == "upper.mist" else shut, False) for name in own.outputs)
    return prove(PLAN, only, network=Network(own.inputs, tuple(rows), own.outputs), workers=1)


@pytest.mark.parametrize("only", [(), ("upper.dosing",)], ids=["all", "none that can be asked"])
def test_what_was_asked_for_and_could_not_be_asked_is_counted_and_not_good(only: tuple[str, ...]) -> None:
    found = proved(*only)
    assert {row.verdict for row in found.verdicts} <= {PROVED}
    assert not found.good
    told, many = list(summary(found)), len(found.left_out)
    assert told[0].startswith(f"{len(found.verdicts) + many} requirements: ")
    assert f"{many} left out; " in told[0]
    assert told[1].startswith("left out, since the text does not have their signals: ")
    assert f"{many} left out, since the text does not have their signals" in in_words(found)


def test_what_was_not_asked_for_does_not_count() -> None:
    found = proved("upper.mist.cut_by_sweep_air")
    assert [row.verdict for row in found.verdicts] == [PROVED]
    assert not found.left_out
    assert found.good
