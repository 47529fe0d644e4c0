"""Notes of a run: what several circuits share is read once."""

from steadfall.predict.outcome.result import Note
from steadfall.report.words.notes import Told, told

SLOW = "water ran below the range of its correlation"


def test_what_circuits_share_is_said_once_with_each_time() -> None:
    notes = (
        Note("", "coarse"),
        Note("pass_1", SLOW, 2_000),
        Note("pass_1", "steam"),
        Note("pass_2", SLOW, 2_000),
        Note("pass_3", SLOW, 65_000),
    )
    assert list(told(notes)) == [
        Told("", "coarse"),
        Told("pass 1, pass 2 and pass 3", f"from 0:02, 0:02 and 1:05: {SLOW}"),
        Told("pass 1", "steam"),
    ]


def test_one_time_is_said_once() -> None:
    assert list(told([Note("upper", SLOW, 0), Note("lower", SLOW, 0)])) == [
        Told("upper and lower", f"from 0:00: {SLOW}")
    ]
