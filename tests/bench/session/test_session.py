"""A session ends as promised, keeps what it saw, and is judged by its recording alone."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pandas
import pytest
from attrs import evolve

from steadfall.app.bench import How, People, again, bench, rehearse
from steadfall.app.given.consent import CONFIRM
from steadfall.bench.judge.finding import Said, Terms
from steadfall.bench.judge.whole import judge
from steadfall.bench.link.exchange import Exchange, LostError
from steadfall.bench.session.journal import CYCLES, Journal, Row, Span, read_recording
from steadfall.bench.session.loop import DONE, Driven, Ended, Session
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.predict.stepper import Stepper
from steadfall.source import AskError, OutsideError
from tests.bench.made import plan_of


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_of("small")


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_right_controller_passes_and_what_did_not_come_is_named(plan: Plan, seed: int) -> None:
    made = rehearse(plan, How(lasting_s=8), seed=seed)
    assert made.good, made.judged.conforms
    assert made.recording.ended == DONE
    said = {one.about: one.said for one in made.judged.covered}
    assert said["upper in dosing"] is Said.PASS
    assert said["upper in full"] is Said.NOT_EXERCISED
    assert said["trip.steam_back_pressure"] is Said.NOT_EXERCISED


@pytest.mark.parametrize("name", ["settings", "ramp", "doses", "demand", "hand", "counters", "logic_alone"])
def test_whatever_a_plan_says_its_own_logic_passes(name: str) -> None:
    made = rehearse(plan_of(name), How(lasting_s=3), seed=4)
    assert made.good, made.judged.conforms


def test_what_inputs_cannot_play_is_refused_before_anything_begins() -> None:
    plan = plan_of("settings")
    with pytest.raises(AskError, match="sets numbers on the panel"):
        rehearse(plan, How(scenario=next(name for name, one in plan.scenarios.items() if one.panel)))


def test_judged_anew_it_is_the_same(plan: Plan, tmp_path: Path) -> None:
    made = rehearse(plan, How(lasting_s=4, out=tmp_path / "it"))
    anew = again(tmp_path / "it")
    assert anew.verdicts() == made.verdicts()
    assert (
        json.loads((tmp_path / "it" / "verdicts.json").read_text(encoding="utf-8"))["conforms"]["said"]
        == "pass"
    )
    page = (tmp_path / "it" / "session.html").read_text(encoding="utf-8")
    assert "The plan&#39;s logic: pass" in page
    assert "Each dose of upper.mist in upper.dosing" in page
    samples = pandas.read_parquet(tmp_path / "it" / "samples.parquet")
    assert {"upper.mist", "upper.stage", "full_call", "upper.pressure"} <= set(samples.columns)
    assert len(samples) >= 80
    with pytest.raises(OutsideError, match="never written over"):
        rehearse(plan, How(lasting_s=1, out=tmp_path / "it"))
    with pytest.raises(OutsideError, match="another revision"):
        again(tmp_path / "it", evolve(plan, digest="0"))


def test_evidence_that_was_changed_is_judged_as_it_stands(plan: Plan, tmp_path: Path) -> None:
    rehearse(plan, How(lasting_s=6, out=tmp_path / "it"))
    path = tmp_path / "it" / CYCLES
    text = path.read_text(encoding="utf-8")
    assert '"upper.mist":true' in text
    path.write_text(text.replace('"upper.mist":true', '"upper.mist":false', 1), encoding="utf-8")
    found = again(tmp_path / "it").judged.conforms
    assert found.said is Said.FAIL
    assert "'upper.mist' is off" in found.why


def test_what_it_cannot_see_it_does_not_judge(plan: Plan) -> None:
    made = rehearse(plan, How(lasting_s=5, cycle_ms=500))  # the plan opens for 800 ms
    assert made.judged.conforms.said is Said.NOT_JUDGED
    assert "800 ms" in made.judged.conforms.why
    assert not made.good


def test_a_session_that_came_late_too_often_is_not_judged(plan: Plan) -> None:
    rows = [Row(at, 0, (Span(at, at, {}),), (Span(at, at, {}),), late=at % 10 == 0) for at in range(100)]
    found = judge(plan, build(plan), rows, Terms(20, 40)).conforms
    assert found.said is Said.NOT_JUDGED
    assert "10 of 100" in found.why


def test_nothing_is_written_before_somebody_has_confirmed(plan: Plan) -> None:
    with pytest.raises(AskError, match=CONFIRM):
        bench(plan, "opc.tcp://127.0.0.1:9/", How(drive=True), People("yes"))


class Watched(LockStep):
    """Counts what is written, and is lost at some exchange."""

    def __init__(self, plan: Plan, lost_at: int = 1 << 30) -> None:
        super().__init__(Soft(build(plan), warm=False), 20, 40)
        self.exchanges, self.lost_at, self.written = 0, lost_at, list[dict[str, Value]]()

    def _count(self) -> None:
        self.exchanges += 1
        if self.exchanges == self.lost_at:
            raise LostError("no answer")

    def read(self) -> Exchange:
        self._count()
        return super().read()

    def write(self, values: Mapping[str, Value]) -> Exchange:
        self._count()
        self.written.append(dict(values))
        return super().write(values)


def held(plan: Plan, link: Watched, *, drive: bool = True) -> tuple[Ended, list[Row]]:
    kept: list[Row] = []
    session = Session(Stepper(plan), (link, link), Driven(1_000, drive=drive), kept.append)
    return session.run(), kept


def test_a_session_that_only_listens_writes_nothing(plan: Plan) -> None:
    link = Watched(plan)
    ended, kept = held(plan, link, drive=False)
    assert ended.why == DONE
    assert len(kept) == 21
    assert link.written == []


@pytest.mark.parametrize("lost_at", [2, 3, 10, 11, 41])
def test_a_lost_link_ends_it_with_all_cycles_before_and_nobody_calling(plan: Plan, lost_at: int) -> None:
    link = Watched(plan, lost_at)
    ended, kept = held(plan, link)
    assert ended.lost
    assert "the link was lost: no answer" in ended.why
    assert len(kept) == (lost_at - 2) // 2
    if kept:
        assert link.written[-1]["full_call"] is False


def test_stopped_by_hand_nobody_calls_any_more(plan: Plan) -> None:
    link = Watched(plan)

    def stop(row: Row) -> None:
        if row.cycle == 5:
            raise KeyboardInterrupt

    ended = Session(Stepper(plan), (link, link), Driven(1_000, drive=True), stop).run()
    assert ended.lost
    assert link.written[-2]["full_call"] is True
    assert link.written[-1]["full_call"] is False


WRITER = """
import sys
from pathlib import Path
from steadfall.bench.session.journal import Journal, Row, Span
journal = Journal(Path(sys.argv[1]), {"steadfall": 1}, {})
for at in range(10**9):
    journal.add(Row(at, 50 * at, (Span(at, at + 1.5, {"upper.mist": at % 2 == 0}),), ()))
    sys.stdout.write(f"{at}\\n")
    sys.stdout.flush()
"""


@pytest.mark.parametrize("cycles", [1, 40, 700])
def test_killed_it_has_every_cycle_but_the_one_under_way(cycles: int, tmp_path: Path) -> None:
    folder = tmp_path / "it"
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, folder], stdout=subprocess.PIPE, env=os.environ
    ) as killed:
        assert killed.stdout is not None
        last = -1
        for line in killed.stdout:
            last = int(line)
            if last >= cycles:
                break
        killed.send_signal(signal.SIGKILL)
        last = max([last, *map(int, killed.stdout.read().split()[:-1])])
    found = read_recording(folder)
    assert [row.cycle for row in found.rows] == list(range(len(found.rows)))
    assert len(found.rows) > last
    assert found.ended == ""


def test_a_line_that_was_cut_off_is_none(tmp_path: Path) -> None:
    journal = Journal(tmp_path / "it", {}, {})
    for at in range(3):
        journal.add(Row(at, 0, (), ()))
    journal.end("because")
    whole = (tmp_path / "it" / CYCLES).read_bytes()
    assert read_recording(tmp_path / "it").ended == "because"
    for cut in range(1, len(whole.splitlines()[-1]) + 2):
        (tmp_path / "it" / CYCLES).write_bytes(whole[:-cut])
        found = read_recording(tmp_path / "it")
        assert (len(found.rows), found.ended) == (3, "")
