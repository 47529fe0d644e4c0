"""A row that is written otherwise and never gives another value is proved so, and no other.

The two circuits of the plan are called together and finish together; after hand mode the upper one alone runs
its finish. So the lower one is idle whenever the upper one is, and not the other way round.
"""

from __future__ import annotations

import pytest

from steadfall.logic.nodes import Compare, Constant, Node, Previous, Type
from steadfall.logic.types import rebuilt
from steadfall.plan.read.whole import read_file
from steadfall.prove.requirements.whole import watched
from tests.plan.paths import GOOD
from tests.prove.unseen import never_differs


def without(node: Node, stage: str) -> Node:
    """A condition that does not ask for a circuit to be idle."""
    if isinstance(node, Compare) and isinstance(node.left, Previous) and node.left.name == stage:
        return Constant(True, Type.BOOL)
    return rebuilt(node, lambda part: without(part, stage))


@pytest.mark.parametrize(("stage", "same"), [("lower.stage", True), ("upper.stage", False)])
def test_a_circuit_that_is_idle_with_another_need_not_be_asked(stage: str, same: bool) -> None:
    (path,) = (one for one in GOOD if one.stem == "hand")
    of = watched(read_file(path))
    own = of.network.rows["hand_ready"].node
    other = without(own, stage)
    assert other != own
    assert never_differs(of, "hand_ready", other) is same
