"""`steadfall dose`: the answer on stdout, the papers, the plan rewritten, and what cannot be asked."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest
from attrs import evolve

from steadfall.app.dose import Dosed, rewrite
from steadfall.app.given.document import document
from steadfall.app.plan import read
from steadfall.app.prove import How, Proved, prove
from steadfall.dose.found import Doses
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.progress import Cancelled, Progress
from steadfall.report.page.doses import doses_page
from steadfall.report.text.doses import doses_text
from steadfall.source import AskError, OutsideError
from tests.cli.described import wrong_result
from tests.dose.conftest import TEXT
from tests.house.verbs import run
from tests.plan.paths import GOOD

SMALL = next(path for path in GOOD if path.stem == "small")
REFUTED = f"{TEXT}requirements:\n  - never: upper.mist\n"
ALONE = next(path for path in GOOD if path.stem == "logic_alone")


def test_the_answer_and_its_papers(tmp_path: Path) -> None:
    ran = run("dose", SMALL, "--tries", "20", "--out", tmp_path, "--write")
    assert ran.code == 1
    said = " ".join(ran.out.split())
    assert "NOT GOOD. No doses were found that keep every limit" in said
    assert "The least change that would do, of the runs made: upper: wall, fall rate" in said
    assert "No doses were found" in (tmp_path / "doses.html").read_text(encoding="utf-8")
    assert (tmp_path / "doses.json").exists()


def test_what_was_found_in_words_and_on_a_page(found: Doses) -> None:
    text = " ".join(doses_text(found, None, 100).split())
    assert "GOOD. Doses that cool soonest" in text
    assert "What binds:" in text or "No bound binds" in text
    assert "Odds of keeping every limit and rating, of 10 runs" in text
    assert all(len(line) <= 100 for line in doses_text(found, None, 100).splitlines())
    page = doses_page(found, None)
    assert 'id="trade"' in page
    assert "<td>dosing</td><td>mist open</td>" in page  # words stand to the left, figures to the right
    assert page.count("<circle") == len(found.trade) + 1  # and the found one, filled
    assert "last goal" in page


def test_its_names_are_described(found: Doses, fought: Doses) -> None:
    for one in (found, fought):
        made = document(one.plan, one.good, one.as_json())
        assert wrong_result(made, "dose search") == []


@pytest.fixture
def stated_alone(monkeypatch: pytest.MonkeyPatch, proofs_here: None) -> None:  # noqa: ARG001
    """Of the requirements the stated one alone is proved: all of them are of another test."""

    def some(plan: Plan, progress: Progress) -> Proved:
        return prove(plan, How(only=("stated.1",)), progress=progress)

    monkeypatch.setattr("steadfall.app.dose.prove", some)


class Nothing:
    """A proof in which nothing is refuted, because there was no time or no reason."""

    verdicts = ()

    def __init__(self, *, stopped: bool = False) -> None:
        self.proof = SimpleNamespace(stopped=stopped)


def test_numbers_are_written_where_nothing_is_refuted(
    found: Doses, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("steadfall.app.dose.prove", lambda _plan, progress: Nothing())  # noqa: ARG005
    path = tmp_path / "plan.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.encode())
    path.chmod(0o640)
    link = tmp_path / "link.yaml"
    link.symlink_to(path.name)
    done = rewrite(Dosed(found), link)
    assert done.written
    assert done.refuted == ()
    assert link.is_symlink()
    assert path.stat().st_mode & 0o777 == 0o640
    assert path.read_bytes() == b"\xef\xbb\xbf" + Dosed(found).text().encode()
    assert "+      - {name: dosing" in done.change
    again = read_file(path)
    assert all(one.number.get(again) == pytest.approx(new) for one, _, new in found.changed)
    with pytest.raises(OutsideError, match="not what it was"):
        rewrite(Dosed(found), path)


def test_nothing_is_written_where_the_proof_was_stopped(
    found: Doses, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("steadfall.app.dose.prove", lambda _plan, progress: Nothing(stopped=True))  # noqa: ARG005
    path = tmp_path / "plan.yaml"
    path.write_text(TEXT, encoding="utf-8")
    with pytest.raises(Cancelled, match="nothing was written"):
        rewrite(Dosed(found), path)
    assert path.read_text(encoding="utf-8") == TEXT
    assert [one.name for one in tmp_path.iterdir()] == ["plan.yaml"]


@pytest.mark.usefixtures("stated_alone")
def test_nothing_is_written_where_a_requirement_is_refuted(found: Doses, tmp_path: Path) -> None:
    path = tmp_path / "plan.yaml"
    path.write_text(REFUTED, encoding="utf-8")
    bad = evolve(found, plan=read_file(path))
    done = rewrite(Dosed(bad), path)
    assert not done.written
    assert done.refuted == ("stated.1",)
    [why] = done.refusals
    line = 1 + REFUTED[: REFUTED.index("requirements:")].count("\n") + 1
    assert why.endswith(f"(stated.1, line {line})")
    assert "upper.mist" in why
    assert path.read_text(encoding="utf-8") == REFUTED


def test_where_nothing_was_found_there_is_nothing_to_write(fought: Doses, tmp_path: Path) -> None:
    with pytest.raises(AskError, match="nothing to write"):
        rewrite(Dosed(fought), tmp_path / "plan.yaml")


def test_an_aim_that_there_is_not_is_told_with_those_there_are() -> None:
    with pytest.raises(AskError, match="expected one of time, water, wear, balance"):
        read(SMALL).dose("speed")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((ALONE,), "logic alone"),
        ((SMALL, "--odds", "sure"), "is no share"),
        ((SMALL, "--odds", "0 %"), "is no share"),
        ((SMALL, "--for", "speed"), "'speed' is not one of"),
        ((SMALL, "--tries", "3"), "not in the range"),
    ],
)
def test_what_cannot_be_asked_is_wrong_usage(words: tuple[str | Path, ...], said: str) -> None:
    ran = run("dose", *words)
    assert ran.code == 2
    assert said in ran.err
