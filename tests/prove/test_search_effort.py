"""What the search for lemmas may cost, in the solver's units, on the worst that is known.

One is a circuit with hand mode and a valve test. Where it is asked only a little later which parts of a state
tell, these take four to thirty times the effort, and the whole plan minutes.
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

PLANS = ROOT / "tests" / "plans" / "good"
EFFORT = 1_000_000  # units for each, half a second: these take some 500 000 at most
TOGETHER = (
    ("upper.mist.by_test", "upper.flood.by_test", "upper.drain.by_test"),
    ("upper.mist.by_hand", "upper.reaches_idle", "upper.mist.by_test", "upper.finish_in_order"),
)
BEHIND = ("lower.second.mist_dose.pauses",)


@cache
def of(name: str) -> Watched:
    return watched(read_file(PLANS / f"{name}.yaml"))


def settled(one: Watched, names: tuple[str, ...], effort: int) -> set[str]:
    """The requirements that lemmas settle within the effort."""
    rows = [row for row in one.required if row.name in names]
    assert len(rows) == len(names)
    part = group_of(one, rows[0].circuit, rows).part
    system = model(part, one.plan.scan.longest_ms, single=True)
    found = lemmas(system, [row.bad for row in rows], lambda: rig(one.plan, part), effort, power_cut=False)
    return {row.name for row in rows if row.bad in found.which}


@pytest.mark.parametrize("names", TOGETHER)
def test_lemmas_of_a_circuit_with_hand_mode_and_a_test_are_found_with_little_effort(
    names: tuple[str, ...],
) -> None:
    assert settled(of("hand"), names, EFFORT) == set(names)


def test_clocks_are_kept_apart_by_the_time_of_a_third() -> None:
    """Two clocks that run in turn from power-up; a dose follows them behind a delay of its circuit."""
    assert settled(of("doses"), BEHIND, 10_000_000) == set(BEHIND)
