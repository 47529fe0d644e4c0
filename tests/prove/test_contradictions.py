"""Requirements that contradict each other, and vacuous parts of requirements."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from steadfall.cli import main
from steadfall.plan.model import AtMost, EveryOpening, Exclusive, Never, Whenever
from steadfall.plan.model.condition import And, Compare, InStage, Not, Or, Signal
from steadfall.prove.decide.ask import ENGINES, RUNS, Ask
from steadfall.prove.decide.result import PROVED, REFUTED, VACUOUS, Proof
from steadfall.prove.whole.plan import prove_whole
from steadfall.report.text.verdicts import conflicts as lines
from tests.plan.paths import GOOD
from tests.prove.plans import guarded

pytestmark = pytest.mark.usefixtures("proofs_here")

MIST, SWEEP, CALL, AIR = Signal("upper.mist"), Signal("upper.sweep"), Signal("full_call"), Signal("air_ok")
IDLE, FULL = InStage("upper", "idle"), InStage("upper", "full")


def proof_of(*items: Any, runs: bool = True) -> Proof:
    engines = frozenset(ENGINES) - (set() if runs else {RUNS})
    return prove_whole(guarded(*items), ("stated",), Ask(effort=20_000_000, engines=engines), workers=1)


def least(ms: int, *, unless_cut: bool = False) -> EveryOpening:
    return EveryOpening("upper.mist", ms, None, unless_cut, "")


def most(ms: int) -> EveryOpening:
    return EveryOpening("upper.mist", None, ms, False, "")


CONTRADICT: dict[str, tuple[Any, ...]] = {
    "never and whenever": (Never(MIST, ""), Whenever(CALL, MIST, 0, 0, "")),
    "the other way round": (Whenever(CALL, MIST, 0, 0, ""), Never(MIST, "")),
    "never and within": (Never(And((MIST, CALL)), ""), Whenever(CALL, And((MIST, CALL)), 500, 0, "")),
    "two answers": (Whenever(CALL, MIST, 0, 0, ""), Whenever(CALL, Not(MIST), 0, 0, "")),
    "longest under shortest": (least(500), most(300)),
    "lasting and longest": (Whenever(CALL, MIST, 100, 600, ""), most(300)),
    "exclusive and together": (Exclusive((MIST, SWEEP), ""), Whenever(MIST, SWEEP, 0, 0, "")),
    "by the outputs": (Never(SWEEP, ""), Whenever(MIST, SWEEP, 0, 0, "")),
}
AGREE: dict[str, tuple[Any, ...]] = {
    "never and whenever something else": (Never(MIST, ""), Whenever(CALL, SWEEP, 0, 0, "")),
    "kept by never opening": (Never(MIST, ""), least(500)),
    "longest over shortest": (least(300), most(500)),
    "an input that is never to be": (
        Never(CALL, ""),
        Whenever(CALL, MIST, 100, 0, ""),
    ),  # the first alone cannot be kept
    "answered in time": (
        Never(And((MIST, CALL)), ""),
        Whenever(CALL, MIST, 500, 0, ""),
    ),  # once the call is gone
    "few openings": (AtMost("upper.mist", 1, 5000, ""), Whenever(CALL, MIST, 100, 0, "")),  # it may stay open
    "cut excused": (least(500, unless_cut=True), Whenever(Not(AIR), Not(MIST), 0, 0, "")),
}


@pytest.mark.parametrize("name", CONTRADICT)
def test_a_contradiction_names_the_pair_and_what_the_plan_breaks(name: str) -> None:
    found = proof_of(*CONTRADICT[name])
    (one,) = found.contradictions
    assert [row.name for row in one.requirements] == ["stated.1", "stated.2"]
    assert not found.good
    broken = next(row for row in found.verdicts if row.required.name == one.broken)
    assert broken.verdict == REFUTED
    assert broken.way is not None  # the trace on this plan
    assert found.as_json()["contradictions"][0]["requirements"] == ["stated.1", "stated.2"]
    assert "no controller can keep both" in "\n".join(lines(found.contradictions))


@pytest.mark.parametrize("name", AGREE)
def test_what_some_controller_can_keep_is_no_contradiction(name: str) -> None:
    assert proof_of(*AGREE[name]).contradictions == ()


def test_the_command_names_the_pair_its_lines_and_the_trace(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")
    said = "requirements:\n  - never: upper.mist and full_call\n  - {whenever: full_call, then: upper.mist}\n"
    plan = tmp_path / "plan.yaml"
    plan.write_text(small + said, encoding="utf-8")
    first = small.count("\n") + 2
    assert main(["prove", str(plan), "--only", "stated"]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert "stated.1 and stated.2 contradict each other: no controller can keep both once" in shown
    assert f"{plan}:{first}:5: It never happens that upper.mist is open and full_call is on." in shown
    assert (
        f"{plan}:{first + 1}:5: Whenever full_call is on, then in the same scan upper.mist is open." in shown
    )
    assert "here it is broken" in shown


def test_a_requirement_may_contradict_itself() -> None:
    found = proof_of(Whenever(CALL, Not(CALL), 0, 0, ""))
    (one,) = found.contradictions
    assert [row.name for row in one.requirements] == ["stated.1"]
    assert "contradicts itself: no controller can keep it once full_call" in "\n".join(
        lines(found.contradictions)
    )


def test_the_condition_that_can_never_be_is_named() -> None:
    (row,) = proof_of(Whenever(And((IDLE, MIST)), AIR, 0, 0, ""), runs=False).verdicts
    assert row.verdict == VACUOUS
    assert row.notes == ("vacuous: 'upper is idle and upper.mist' can never be",)


def test_an_answer_that_is_always_true_is_told() -> None:
    (row,) = proof_of(Whenever(CALL, Not(And((MIST, IDLE))), 0, 0, "")).verdicts
    assert row.verdict == PROVED
    assert "'not (upper.mist and upper is idle)' is always true here, whatever it follows on" in row.notes


def test_a_part_that_can_never_be_is_told() -> None:
    hot = Compare("demand", ">", 50.0, "percent")
    found = proof_of(Exclusive((And((MIST, IDLE)), Or((FULL, hot))), ""))
    (row,) = found.verdicts
    assert (row.verdict, found.good) == (PROVED, True)
    assert "'upper.mist and upper is idle' can never be" in row.notes
