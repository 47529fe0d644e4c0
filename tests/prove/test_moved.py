"""Numbers of the press's controller moved by one per cent and by one scan: each breaks a requirement.

`python -m tests.prove.moved` moves every number of every example; this is a sample.
"""

from __future__ import annotations

import pytest

from steadfall.plan.read.whole import read_file
from tests.examples import EXAMPLES
from tests.prove.moved import REFUTED, fate, moves
from tests.prove.numbers import DOWN, LATER, SOONER, UP

SAMPLE = [
    ("upper.mist.dose_open", "mist.first_doses.open", SOONER),
    ("lower.mist.dose_open", "mist.first_doses.shut", LATER),
    ("upper.first_doses.climb", "first_doses.climb.after", UP),
    ("lower.flood.disagrees", "flood.feedback_within", DOWN),
]


@pytest.mark.parametrize(("signal", "label", "move"), SAMPLE)
def test_a_moved_number_breaks_a_requirement(signal: str, label: str, move: str) -> None:
    plan = read_file(EXAMPLES["press"])
    wanted = (signal, label, move)
    one = next(row for row in moves(plan) if (row.number.signal, row.number.label, row.move) == wanted)
    assert fate(plan, one).fate == REFUTED
