"""`steadfall size` as a person types it."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.examples import EXAMPLES
from tests.house.verbs import run
from tests.plan.paths import GOOD

PRESS = EXAMPLES["press"]
LOGIC_ALONE = next(path for path in GOOD if path.stem == "logic_alone")


def test_what_is_short_is_named_and_the_exit_code_is_1(tmp_path: Path) -> None:
    plan = tmp_path / "plan.yaml"
    text = PRESS.read_text(encoding="utf-8")
    plan.write_text(text.replace("life: 1000000", "life: 10000"), encoding="utf-8")
    ran = run("size", plan)
    assert ran.code == 1
    assert "1 of 24 sizes is short: platen circuit.mist (rated life)." in ran.out
    assert "SHORT" in ran.out
    assert "not a safety function" in " ".join(ran.out.split())


def test_the_papers(tmp_path: Path) -> None:
    ran = run("size", PRESS, "--scenario", "air lost", "--out", tmp_path / "papers")
    assert ran.code == 0
    assert [line.rpartition("/")[2] for line in ran.err.splitlines()] == ["sizes.html", "sizes.json"]
    assert "air lost" in (tmp_path / "papers" / "sizes.html").read_text(encoding="utf-8")


def test_a_scenario_that_is_not_there() -> None:
    ran = run("size", PRESS, "--scenario", "water lost")
    assert (ran.code, ran.out) == (2, "")
    assert "air lost" in ran.err


def test_a_plan_of_the_logic_alone() -> None:
    ran = run("size", LOGIC_ALONE)
    assert (ran.code, ran.out) == (2, "")
    assert "it has no supply, line, valve or outlet with a size" in ran.err


def test_without_the_library(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in (
        "steadfall.size.iec",
        "steadfall.size.rows.valves",
        "steadfall.size.rows.outlets",
        "steadfall.size.whole",
    ):
        monkeypatch.delitem(sys.modules, name, raising=False)
    monkeypatch.setattr("steadfall.extras.importlib.util.find_spec", lambda _: None)
    ran = run("size", PRESS, "--out", tmp_path / "papers")
    assert (ran.code, ran.out) == (3, "")
    assert "pip install 'steadfall[size]'" in ran.err
    assert not (tmp_path / "papers").exists()
