"""`steadfall prove`: verdicts as a person sees them, stored proofs, and a controller's text in the plan's place."""

import json
from pathlib import Path

import pytest

from steadfall.cli import main
from steadfall.emit.structured_text import structured_text
from steadfall.plan.read import read_file
from tests.examples import EXAMPLES

PRESS = str(EXAMPLES["press"])
STATED = ["prove", PRESS, "--only", "stated", "--json"]


@pytest.fixture
def code(tmp_path: Path) -> Path:
    path = tmp_path / "controller.st"
    path.write_text(structured_text(read_file(EXAMPLES["press"])).text, encoding="utf-8")
    return path


def verdicts(capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    return {row["sentence"]: row["verdict"] for row in json.loads(capsys.readouterr().out)["requirements"]}


def test_a_controllers_text_keeps_the_plans_requirements(code: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*STATED, "--code", str(code)]) == 0
    assert set(verdicts(capsys).values()) == {"proved"}


def test_a_preset_changed_on_site_is_refuted(code: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = code.read_text(encoding="utf-8")
    assert text.count("MIST_SHORTEST_OPEN : TIME := T#300ms") == 1
    code.write_text(text.replace("MIST_SHORTEST_OPEN : TIME := T#300ms", "MIST_SHORTEST_OPEN : TIME := T#0ms"), "utf-8")
    assert main([*STATED, "--code", str(code)]) == 1
    broken = [sentence for sentence, verdict in verdicts(capsys).items() if verdict == "refuted"]
    assert len(broken) == 1
    assert "lasts at least 300 ms" in broken[0]


def test_a_stored_proof_is_of_its_text_and_no_other(
    code: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    stored = ["--out", str(tmp_path / "proof")]
    assert main([*STATED, *stored, "--code", str(code)]) == 0
    assert main(["prove", PRESS, *stored, "--recheck", "--code", str(code)]) == 0
    capsys.readouterr()
    assert main(["prove", PRESS, *stored, "--recheck"]) == 3
    assert "another plan" in capsys.readouterr().err
    code.write_text(code.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    assert main(["prove", PRESS, *stored, "--recheck", "--code", str(code)]) == 3
