"""Violations of a proof as cases: what breaks there breaks at the bench, and a right controller passes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from steadfall.app.bench import How, rehearse
from steadfall.app.cases import chosen
from steadfall.app.given.controller import Controller, controller
from steadfall.app.prove import Proved
from steadfall.bench.cases.script import Case
from steadfall.bench.cases.violations import LEAD_MS, Violation, violation
from steadfall.bench.judge.finding import Said
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.result import ITS_VIOLATION, REFUTED, Proof, Verdict
from steadfall.prove.requirements.whole import watched
from steadfall.runs.json import from_json
from steadfall.st.write.whole import structured_text
from tests.bench.made import GOOD, plan_of

NEVER = "requirements:\n  - never: upper.mist and upper.pressure > 5 barg\n"
SWEPT, MIST = "upper.mist.cut_by_sweep_air", "upper.mist"
REST: dict[str, Any] = {
    "full_call": False,
    "air_pressure_ok": True,
    "reset_button": False,
    "upper.pressure": 0.0,
}


def step(at_ms: int, scan_ms: int, scans: int = 1, **more: Any) -> dict[str, Any]:
    inputs = {name.replace("__", "."): value for name, value in more.items() if name != "off_ms"}
    cut = {"off_ms": more["off_ms"]} if "off_ms" in more else {}
    return {"at_ms": at_ms, "scan_ms": scan_ms, "scans": scans, "inputs": inputs, **cut}


def case_of(plan: Plan, *steps: dict[str, Any], faults: tuple[str, ...] = ()) -> Case:
    made = violation(plan, Violation(SWEPT, "It is.", faults, steps))
    assert isinstance(made, Case)
    return made


def begun(**more: Any) -> dict[str, Any]:
    return step(0, 0, **{**REST, **more})


def test_what_a_proof_refutes_breaks_at_the_bench_too(tmp_path: Path) -> None:
    file = tmp_path / "plan.yaml"
    file.write_text((GOOD / "small.yaml").read_text(encoding="utf-8") + NEVER, encoding="utf-8")
    plan = read_file(file)
    refuted(plan, begun(), step(1, 1, full_call=True, upper__pressure=6.0)).write(tmp_path)
    (case,), left_out = chosen(plan, str(tmp_path))
    assert (case.name, case.line, left_out) == ("violation stated.1", 48, ())
    made = rehearse(plan, How(case=case)).judged
    assert made.conforms.said is Said.PASS  # the controller does what the plan says
    assert [one.about for one in made.required if one.said is Said.FAIL] == ["stated.1"]


@pytest.mark.parametrize("slip", ["", "air_pressure_ok AND (NOT tripped)"])
def test_a_wrong_text_breaks_what_was_refuted_of_it_and_the_right_one_passes(
    slip: str, tmp_path: Path
) -> None:
    plan = plan_of("small")
    case = case_of(plan, begun(), step(1, 1, full_call=True), step(20, 19, air_pressure_ok=False))
    made = rehearse(plan, How(case=case), text_of(plan, slip, tmp_path)).judged
    assert made.good is not bool(slip)
    said = {one.about: one.said for one in made.required}
    assert said[SWEPT] is (Said.FAIL if slip else Said.PASS)


def refuted(plan: Plan, *steps: dict[str, Any]) -> Proved:
    """What a proof says of the requirement that a plan states."""
    of = watched(plan)
    stated = next(one for one in of.required if one.name == "stated.1")
    way = from_json(steps)
    verdict = Verdict(stated, REFUTED, way=way, witness={"by": ITS_VIOLATION, "at_ms": way.end_ms})
    return Proved(plan, Proof(plan.title, plan.digest, (verdict,), 0.0), of=of)


def text_of(plan: Plan, slip: str, folder: Path) -> Controller:
    text, file = structured_text(plan).text, folder / "controller.st"
    assert slip in text
    file.write_text(text.replace(slip, "NOT tripped") if slip else text, encoding="utf-8")
    return controller(plan, file)


def test_a_change_stands_until_a_scan_has_seen_it_and_the_run_keeps_its_times() -> None:
    steps = (begun(), step(1, 1, full_call=True), step(3, 2, 10), step(1_003, 40, full_call=False))
    case = case_of(plan_of("small"), *steps)
    assert [(at, values.get("full_call")) for at, values in case.forced] == [
        (LEAD_MS, False), (3_100, True), (4_100, False),
    ]  # fmt: skip
    assert case.power_ms is None


def test_what_somebody_does_as_power_comes_is_done_before_power_comes() -> None:
    case = case_of(plan_of("small"), step(0, 0, full_call=True))
    assert case.power_ms == LEAD_MS + 50
    assert case.forced == ((LEAD_MS, {"full_call": True}),)


def test_a_faulty_input_shows_what_it_shows_for_as_long_as_it_lasts() -> None:
    plan, phrases = plan_of("requirements"), ("upper.pressure at its upper end", "full_call bounces")
    case = case_of(plan, step(0, 0, air_pressure_ok=True), faults=phrases)
    assert case.forced[0] == (0, {"upper.pressure": 16.0})
    bounces = [(at, values["full_call"]) for at, values in case.forced if "full_call" in values]
    assert bounces[:3] == [(0, True), (50, False), (100, True)]
    assert bounces[-1][0] >= case.lasting_ms - 50


@pytest.mark.parametrize(
    ("of", "steps", "why"),
    [
        ("small", (step(0, 0), step(40, 0, off_ms=40)), "cuts the power"),
        ("small", (step(0, 0, steam=True),), "sets 'steam', which the plan does not have"),
        ("settings", (step(0, 0, first_dose=9_000),), "on the panel"),
    ],
)
def test_what_the_bench_cannot_drive_is_said(of: str, steps: Any, why: str) -> None:
    said = violation(plan_of(of), Violation("it", "It is.", (), steps))
    assert isinstance(said, str)
    assert said.startswith("violation it: ")
    assert why in said
