"""However a session ends, nobody calls the controller any more after it."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from steadfall.app.bench import How, rehearse
from steadfall.bench.judge.finding import Said
from steadfall.bench.link.exchange import Link
from steadfall.bench.session.journal import CYCLES, Row, read_recording
from steadfall.bench.session.loop import INTERRUPTED, Driven, Session
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.predict.stepper import Stepper
from steadfall.progress import Progress
from steadfall.source import AskError, OutsideError
from tests.bench.made import plan_of

CALL = "full_call"


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_of("small")


class Stopped(Progress):
    """Somebody stops it after so many steps."""

    def __init__(self, after: int) -> None:
        self.left = after

    def tell(self, _done: float, _of: float | None, _words: str) -> None:
        self.left -= 1

    def cancelled(self) -> bool:
        return self.left < 0


def nobody(_: Link) -> Link:
    raise AskError("somebody must switch the controller off and on again")


def full(row: Row) -> None:
    if row.cycle == 30:
        raise OutsideError("cannot write into it: the disk is full")


def kept(_: Row) -> None:
    """Nothing is wrong with it."""


@pytest.mark.parametrize(
    ("keep", "driven", "said"),
    [(full, Driven(3000, drive=True), "disk is full"),
     (kept, Driven(3000, drive=True, power_ms=1500), "somebody must switch")],
)  # fmt: skip
def test_what_fails_in_mid_session_leaves_nobody_calling(
    plan: Plan, keep: Callable[[Row], None], driven: Driven, said: str
) -> None:
    soft = LockStep(Soft(build(plan), warm=False), 20, 40)
    session = Session(Stepper(plan), (soft, soft), driven, keep, nobody)
    with pytest.raises((OutsideError, AskError), match=said):
        session.run()
    assert any(row.writes[0].values.get(CALL) for row in session.rows)
    assert soft.shown()[CALL] is False


def test_a_session_that_is_stopped_is_kept_and_judged(plan: Plan, tmp_path: Path) -> None:
    made = rehearse(plan, How(lasting_s=60, out=tmp_path / "it"), progress=Stopped(80))
    assert made.stopped
    assert made.judged.conforms.said is Said.PASS
    recording = read_recording(tmp_path / "it")
    assert (recording.ended, len(recording.rows)) == (INTERRUPTED, len(made.recording.rows))
    assert (tmp_path / "it" / "verdicts.json").exists()


def test_a_disk_that_is_full_is_said_and_what_was_kept_is_whole(
    plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, left = os.write, [40]

    def write(file: int, data: bytes) -> int:
        left[0] -= 1
        if left[0] == 0:
            return real(file, data[: len(data) // 2])
        if left[0] < 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(file, data)

    monkeypatch.setattr("steadfall.bench.session.journal.os.write", write)
    with pytest.raises(OutsideError, match="the disk is full"):
        rehearse(plan, How(lasting_s=60, out=tmp_path / "it"))
    monkeypatch.undo()
    assert not (tmp_path / "it" / CYCLES).read_bytes().endswith(b"\n")
    assert len(read_recording(tmp_path / "it").rows) == 39
