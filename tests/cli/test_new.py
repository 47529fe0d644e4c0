"""`steadfall new` with answers: given as options, or asked for."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from steadfall.app.new import QUESTIONS
from steadfall.app.plan import read
from steadfall.cli.new import command


def ran(folder: Path, *words: str, typed: str = "") -> tuple[int, str]:
    """Exit code (0 where it went well), and everything that was said."""
    done = CliRunner().invoke(command, [str(folder), *words], input=typed)
    return done.exit_code, f"{done.output}{done.exception or ''}"


def test_answers_as_options(tmp_path: Path) -> None:
    ran(tmp_path, "--answer", "equipment=roll", "--answer", "mass = 820 kg")
    text = (tmp_path / "plan.yaml").read_text(encoding="utf-8")
    assert "metal: {mass: 820 kg, material: carbon steel" in text
    assert list(read(tmp_path / "plan.yaml").plan.circuits) == ["pass_1", "pass_2"]


def test_a_question_is_asked_again_until_the_answer_fits(tmp_path: Path) -> None:
    answers = {"equipment": ["kiln", "barrel"], "mass": ["heavy", "120 kg"]}
    typed = "".join(f"{said}\n" for name in QUESTIONS for said in answers.get(name, [""]))
    _, said = ran(tmp_path, "--ask", typed=typed)
    assert "'kiln' is not one of press, mould" in said
    assert "'heavy'" in said
    assert "What must not happen" in said
    assert "metal: {mass: 120 kg" in (tmp_path / "plan.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("given", "said"), [("mass", "names nothing"), ("mas=1 kg", "is called 'mas'"), ("mass=1 bar", "1 bar")]
)
def test_an_answer_that_does_not_fit_writes_nothing(tmp_path: Path, given: str, said: str) -> None:
    code, told = ran(tmp_path, "--answer", given)
    assert code != 0
    assert said in told
    assert not (tmp_path / "plan.yaml").exists()


def test_no_folder_is_called_like_a_device(tmp_path: Path) -> None:
    code, told = ran(tmp_path / "NUL")
    assert (code, list(tmp_path.iterdir())) == (2, [])
    assert "'NUL' cannot be the name of a folder on every system" in told


def test_a_folder_may_be_hidden(tmp_path: Path) -> None:
    code, _ = ran(tmp_path / ".press")
    assert code == 0
    assert (tmp_path / ".press" / "plan.yaml").exists()
