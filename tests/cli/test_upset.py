"""`steadfall upset`: the table, one row in full, the papers, and what cannot be asked."""

from pathlib import Path

import pytest

from tests.examples import EXAMPLES
from tests.house.verbs import run

PRESS = EXAMPLES["press"]
STUCK = "upper.flood stuck shut"


def test_the_table_and_its_papers(tmp_path: Path) -> None:
    ran = run("upset", PRESS, "--only", STUCK, "--out", tmp_path)
    assert ran.code in (0, 1)
    assert f"{STUCK} in full" in " ".join(ran.out.split()) or STUCK in ran.out
    assert "upper stands for lower too" in " ".join(ran.out.split())
    page = (tmp_path / "upset.html").read_text(encoding="utf-8")
    assert "NO flow through upper.flood" in page
    assert "does not replace one" in page
    assert (tmp_path / "upset.json").exists()


def test_one_row_in_full() -> None:
    ran = run("upset", PRESS, "--show", f"{STUCK} in full")
    assert f"scenario: {STUCK} in full" in " ".join(ran.out.split())
    assert "'upper.flood' goes shut and stays so" in " ".join(ran.out.split())
    assert "upper.stage" in ran.out  # the strips


def test_a_row_that_is_not_there_is_named_with_the_nearest() -> None:
    ran = run("upset", PRESS, "--show", "upper.flod stuck shut in full")
    assert ran.code == 2
    assert "upper.flood stuck shut in full" in ran.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--only", ""), "'' is no thing that can fail"),  # as of a variable of a script that is not set
        (("--only", "lower.mist"), "as upper stands for lower; expected 'upper.mist'"),
        (("--only", "lower.flood leaking"), "as upper stands for lower; expected 'upper.flood leaking'"),
    ],
)
def test_what_is_not_tried_is_told(words: tuple[str, ...], said: str) -> None:
    ran = run("upset", PRESS, *words)
    assert ran.code == 2
    assert said in ran.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("size", PRESS, "--scenario", ""), "scenario: '' is no scenario of this plan"),
        (("prove", PRESS, "--only", ""), "--only: '' is no requirement of this plan"),
    ],
)
def test_an_empty_name_is_no_name_of_another_verb_either(words: tuple[str | Path, ...], said: str) -> None:
    ran = run(*words)
    assert ran.code == 2
    assert said in ran.err


@pytest.mark.parametrize("verb", ["check", "upset"])
def test_what_is_accepted_must_be_a_failure(verb: str, tmp_path: Path) -> None:
    path = tmp_path / "plan.yaml"
    more = "accepted:\n  - {failure: upper.flod stuck shut, because: it is seen}\n"
    path.write_text(PRESS.read_text(encoding="utf-8").replace("accepted:\n", more), encoding="utf-8")
    ran = run(verb, path)
    assert ran.code == 1
    assert "did you mean 'upper.flood stuck shut'?" in ran.out + ran.err
