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


@pytest.mark.parametrize("verb", ["check", "upset"])
def test_what_is_accepted_must_be_a_failure(verb: str, tmp_path: Path) -> None:
    path = tmp_path / "plan.yaml"
    more = "accepted:\n  - {failure: upper.flod stuck shut, because: it is seen}\n"
    path.write_text(PRESS.read_text(encoding="utf-8").replace("accepted:\n", more), encoding="utf-8")
    ran = run(verb, path)
    assert ran.code == 1
    assert "did you mean 'upper.flood stuck shut'?" in ran.out + ran.err
