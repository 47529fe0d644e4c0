"""A requirement that is broken: what the terminal and the page say of it, and what `why` says of its stored
run.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadfall.cli import main
from tests.examples import EXAMPLES
from tests.report.test_page import read

pytestmark = pytest.mark.usefixtures("proofs_here")

TEXT = EXAMPLES["press"].read_text(encoding="utf-8")
BEFORE, _, AFTER = TEXT.partition("requirements:\n")
WRONG = (
    "  - {whenever: full_call, then: upper.mist, within: 2 s}\n  - never: upper.mist and not upper.sweep\n"
)
OTHERS = "\n# How far these numbers"


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a plan that asks for too much, and its proof."""
    folder = tmp_path_factory.mktemp("broken")
    rest = AFTER[AFTER.index(OTHERS) :].partition("# What may go wrong.")[0]
    (folder / "plan.yaml").write_text(f"{BEFORE}requirements:\n{WRONG}{rest}", encoding="utf-8")
    assert main(["prove", str(folder / "plan.yaml"), "--only", "stated", "--out", str(folder)]) == 1
    return folder


def test_a_stored_violation_is_explained_where_it_breaks(
    stored: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ask = ["why", str(stored / "plan.yaml"), "--signal", "upper.mist", "--trace", str(stored / "proof.json")]
    assert main([*ask, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    proof = json.loads((stored / "proof.json").read_text(encoding="utf-8"))
    broken = next(row for row in proof["requirements"] if row["verdict"] == "refuted")
    assert (
        told["signal"] == "upper.mist"
    )  # open or shut: a first opening that comes too late breaks it as well
    assert round(told["at_s"] * 1000) == broken["trace"]["violated_at_ms"]
    assert main([*ask, "--only", "stated.2"]) == 2
    assert f"broken are: {broken['name']}" in capsys.readouterr().err
    assert main([*ask[:-2], "--only", "stated.1", "--at", "1s"]) == 2
    assert "--only goes with --trace" in capsys.readouterr().err


def test_a_proof_of_another_plan_is_not_explained(stored: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ask = ["why", str(EXAMPLES["press"]), "--signal", "upper.mist", "--trace", str(stored / "proof.json")]
    assert main(ask) == 3
    assert "another plan" in capsys.readouterr().err


def test_only_a_violation_is_called_one(stored: Path) -> None:
    proof = json.loads((stored / "proof.json").read_text(encoding="utf-8"))
    for row in proof["requirements"]:
        assert "violated_at_ms" not in (row["witness"] or {})


def test_the_page_is_whole_and_says_what_is_broken_and_why(stored: Path) -> None:
    text = (stored / "proof.html").read_text(encoding="utf-8")
    page = read(text)
    words = " ".join(" ".join(page.words).split())
    assert page.open == []
    assert page.loads == []
    assert len(page.ids) == len(set(page.ids))
    assert all(link.removeprefix("#") in page.ids for link in page.links)
    assert "Of 2 requirements: 1 proved, 1 broken." in words
    assert "Whenever full_call is on, then within 2 s upper.mist is open." in words
    assert "upper.mist is shut at" in words or "upper.mist is open at" in words
    assert "broken at" in words
    assert "- {whenever: full_call, then: upper.mist, within: 2 s}" in words
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
