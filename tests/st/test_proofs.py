"""The prover over code: emitted text is the plan for ever, a change on site is found, the table of foreign
programs.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.logic.build.stand_in import stand_in, with_stages
from steadfall.logic.build.whole import build
from steadfall.plan.read.whole import read_file, read_text
from steadfall.prove.compare.compare import How, compare
from steadfall.prove.compare.compared import EQUAL, PARTS, SECOND
from steadfall.source import PlanError
from steadfall.st.bring import bring
from steadfall.st.write.whole import structured_text
from tests.examples import EXAMPLES
from tests.plan.paths import GOOD
from tests.prove.any_plan import any_text
from tests.st.foreign.cases import CASES, Case
from tests.st.test_text import PRESS

EMITTED = structured_text(PRESS)


def written(folder: Path, text: str) -> Path:
    path = folder / "controller.st"
    path.write_text(text, encoding="ascii")
    return path


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_the_emitted_text_is_the_plan_for_ever(name: str, tmp_path: Path) -> None:
    plan = read_file(EXAMPLES[name])
    found = compare(
        plan, build(plan), bring(plan, written(tmp_path, structured_text(plan).text)), How(240_000_000)
    )
    assert (found.verdict, found.rechecked) == (EQUAL, True)
    assert not found.first_only
    assert not found.second_only


@pytest.mark.parametrize("seed", [5005, 5023, 5025, 5057])  # valves by hand, and a drain that nothing opens
def test_the_text_of_a_made_up_plan_is_the_plan_for_ever(seed: int, tmp_path: Path) -> None:
    plan = read_text(any_text(seed), f"{seed}.yaml")
    code = written(tmp_path, structured_text(plan).text)
    found = compare(plan, build(plan), bring(plan, code), How(2_000_000))
    assert (found.verdict, found.rechecked) == (EQUAL, True)


SMALL = read_file(next(path for path in GOOD if path.stem == "small"))
SITE_CHANGES = {
    "a preset": (
        PRESS,
        "MIST_FIRST_DOSES_OPEN : TIME := T#400ms",
        "MIST_FIRST_DOSES_OPEN : TIME := T#500ms",
        "upper.mist",
    ),
    "a contact": (PRESS, "IF NOT may_cool THEN", "IF may_cool THEN", "upper.mist"),
    "a delay": (
        SMALL,
        "LOWER_DELAY_DOSES : TIME := T#1s600ms",
        "LOWER_DELAY_DOSES : TIME := T#1s",
        "lower.mist",
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("change", SITE_CHANGES)
def test_a_change_on_site_is_found(change: str, tmp_path: Path) -> None:
    plan, old, new, valve = SITE_CHANGES[change]
    text = structured_text(plan).text
    assert old in text
    code = written(tmp_path, text.replace(old, new, 1))
    found = compare(plan, build(plan), bring(plan, code), How(3_000_000))
    assert found.verdict == PARTS
    assert valve in found.differing
    assert found.trace is not None
    end = found.trace.end_ms
    assert found.trace.at(valve, end) != found.trace.at(valve + SECOND, end)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_foreign_programs(case: Case) -> None:
    reference = case.network("reference")
    for version, wanted in (("equal", EQUAL), ("wrong", PARTS)):
        found = compare(PRESS, reference, case.network(version), How(40_000_000))
        assert found.verdict == wanted, version
        assert found.rechecked in (True, None)


def test_a_text_that_lacks_a_valve_cannot_stand_in(tmp_path: Path) -> None:
    code = written(tmp_path, EMITTED.text.replace("upper_drain", "other"))
    with pytest.raises(PlanError, match=r"nothing commands the valve 'upper\.drain'"):
        bring(PRESS, code)


def test_a_map_brings_other_names(tmp_path: Path) -> None:
    code = written(tmp_path, EMITTED.text.replace("upper_sweep", "Y17").replace("full_call", "S3"))
    names = dict(EMITTED.names)
    names |= {"Y17": names.pop("upper_sweep"), "S3": names.pop("full_call")}
    lines = "".join(f"{name}: {signal}\n" for name, signal in names.items())
    (tmp_path / "map.yaml").write_text(lines, encoding="utf-8")
    found = bring(PRESS, code, tmp_path / "map.yaml")
    assert found.outputs == build(PRESS).outputs
    assert [row.name for row in found.inputs] == list(PRESS.inputs)
    (tmp_path / "map.yaml").write_text("Y17: upper.sweep\nY18: upper.sweep\nZ: [1]\n", encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        bring(PRESS, code, tmp_path / "map.yaml")
    assert [problem.mark.line for problem in caught.value.problems] == [2, 3]


def test_an_input_of_another_kind_cannot_stand_in(tmp_path: Path) -> None:
    text = EMITTED.text.replace("    reset_button : BOOL;", "    reset_button : INT;")
    for use in ("R := reset_button", "acknowledge_pressed := reset_button"):
        text = text.replace(use, f"{use} > 0")
    with pytest.raises(PlanError, match="'reset_button' is a INT; the plan has a switch"):
        bring(PRESS, written(tmp_path, text))


def test_stages_are_filled_in_where_there_are_none() -> None:
    case = next(case for case in CASES if case.name == "latches")
    network = with_stages(PRESS, case.network("equal"))
    assert {"upper.stage", "lower.stage"} <= set(network.types)
    with pytest.raises(PlanError):
        stand_in(PRESS, network, "latches.st")
