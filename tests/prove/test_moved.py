"""Numbers of the examples' controllers moved by one per cent and by one scan: each breaks a requirement.

`python -m tests.prove.moved` moves every number of every example; this is a sample.
"""

from __future__ import annotations

import pytest

from steadfall.plan.read.whole import read_file
from tests.examples import EXAMPLES
from tests.prove.moved import REFUTED, fate, moves
from tests.prove.numbers import DOWN, LATER, SOONER, UP

SAMPLE = [
    ("press", "upper.mist.dose_open", "mist.first_doses.open", SOONER),
    ("press", "lower.mist.dose_open", "mist.first_doses.shut", LATER),
    ("press", "upper.first_doses.climb", "first_doses.climb.after", UP),
    ("press", "lower.flood.disagrees", "flood.feedback_within", DOWN),
    ("barrel", "zone_3.mist.cycle_begin", "mist.cycle", UP),
    ("barrel", "zone_3.mist.share", "mist.ms_per_percent", DOWN),
    ("barrel", "zone_3.mist.open_for", "mist.cycle", DOWN),
]


@pytest.mark.parametrize(("name", "signal", "label", "move"), SAMPLE)
def test_a_moved_number_breaks_a_requirement(name: str, signal: str, label: str, move: str) -> None:
    plan = read_file(EXAMPLES[name])
    wanted = (signal, label, move)
    one = next(row for row in moves(plan) if (row.number.signal, row.number.label, row.move) == wanted)
    assert fate(plan, one).fate == REFUTED
