"""Numbers of the examples' controllers moved by one per cent and by one scan: each breaks a requirement.

`python -m tests.prove.moved` moves every number of every example; this is a sample.
"""

from __future__ import annotations

import pytest

from tests.prove.breaking import REFUTED, SAME
from tests.prove.moved import moves_of, tried_on
from tests.prove.numbers import DOWN, LATER, SOONER, UP

SAMPLE = [
    ("press", "upper.mist.dose_open", "mist.first_doses.open", SOONER),
    ("press", "lower.mist.dose_open", "mist.first_doses.shut", LATER),
    ("press", "upper.first_doses.climb", "first_doses.climb.after", UP),
    ("press", "lower.flood.disagrees", "flood.feedback_within", DOWN),
    ("barrel", "zone_3.mist.cycle_begin", "mist.cycle", UP),
    ("barrel", "zone_3.mist.share", "mist.ms_per_percent", DOWN),
    ("barrel", "zone_3.mist.open_for", "mist.cycle", DOWN),
    ("barrel", "zone_ramp.set_point", "zone_ramp.fall_per_ms", DOWN),
    ("barrel", "zone_ramp.set_point", "zone_ramp.to", UP),
    ("barrel", "zone_ramp", "zone_ramp.percent_per_degree", UP),
]
UNSEEN = [
    ("barrel", "zone_3.mist.open_for", "mist.cycle", LATER),  # a cycle ends before that
    ("barrel", "zone_3.mist.open_for", "mist.shortest_open", SOONER),  # it is given up below a greater share
]


@pytest.mark.parametrize(("name", "signal", "label", "move"), SAMPLE)
def test_a_moved_number_breaks_a_requirement(name: str, signal: str, label: str, move: str) -> None:
    assert _fate(name, signal, label, move) == REFUTED


@pytest.mark.parametrize(("name", "signal", "label", "move"), UNSEEN)
def test_a_moved_number_that_is_never_asked_is_proved_to_change_nothing(
    name: str, signal: str, label: str, move: str
) -> None:
    assert _fate(name, signal, label, move) == SAME


def _fate(name: str, signal: str, label: str, move: str) -> str:
    wanted = (signal, label, move)
    one = next(row for row in moves_of(name) if (row.number.signal, row.number.label, row.move) == wanted)
    return tried_on(name, one).fate.fate
