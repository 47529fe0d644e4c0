"""What the search for lemmas may cost, in the solver's units: the worst plan that is known, in samples.

Its circuit has hand mode and a valve test. Where it is asked only a little later which parts of a state tell,
these take four to thirty times the effort, and the whole plan minutes.
"""

from __future__ import annotations

from functools import cache

import pytest

from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.by_lemmas import group_of
from steadfall.prove.lemmas.found import lemmas
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.system.step import model
from tests.examples import ROOT

HAND = ROOT / "tests" / "plans" / "good" / "hand.yaml"
EFFORT = 1_000_000  # units for each, half a second: these take some 500 000 at most
TOGETHER = (
    ("upper.mist.by_test", "upper.flood.by_test", "upper.drain.by_test"),
    ("upper.mist.by_hand", "upper.reaches_idle", "upper.mist.by_test", "upper.finish_in_order"),
)


@cache
def hand() -> Watched:
    return watched(read_file(HAND))


def settled(names: tuple[str, ...]) -> set[str]:
    """The requirements that lemmas settle within the effort."""
    rows = [row for row in hand().required if row.name in names]
    assert len(rows) == len(names)
    part = group_of(hand(), "upper", rows).part
    system = model(part, hand().plan.scan.longest_ms, single=True)
    found = lemmas(system, [row.bad for row in rows], lambda: rig(hand().plan, part), EFFORT, power_cut=False)
    return {row.name for row in rows if row.bad in found.which}


@pytest.mark.parametrize("names", TOGETHER)
def test_lemmas_of_a_circuit_with_hand_mode_and_a_test_are_found_with_little_effort(
    names: tuple[str, ...],
) -> None:
    assert settled(names) == set(names)
