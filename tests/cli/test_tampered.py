"""A stored proof that somebody has changed: each change is named, none passes, none ends in a traceback.

Rule of this file: one plan that refutes a requirement of its own, and one with a power cut; a row for each
change of its file. `--recheck` must end with a sentence and a bad exit code.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

import steadfall
from steadfall.cli import main
from tests.cli.changes import (
    ANYTHING,
    CLAIMS,
    KEPT,
    PAUSE,
    REFUTED,
    SHAPE,
    STEP,
    TRACE,
    UNDER_FAULTS,
    Change,
    set_to,
)
from tests.plan.paths import GOOD

pytestmark = pytest.mark.usefixtures("proofs_here")

PLAN = next(path for path in GOOD if path.stem == "requirements")
ONLY = (REFUTED, KEPT, ANYTHING, PAUSE)
ASKED = [word for name in ONLY for word in ("--only", name)]
BAD, OUTSIDE = 1, 3

Raw = Callable[[str], str]


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with plan and proof."""
    folder = tmp_path_factory.mktemp("stored")
    shutil.copy(PLAN, folder / "plan.yaml")
    assert main(["prove", str(folder / "plan.yaml"), *ASKED, "--out", str(folder)]) == BAD
    return folder


@pytest.fixture
def again(stored: Path, tmp_path: Path) -> Callable[[Raw], Any]:
    """Checks the proof again after its text was changed, and gives what comes of it as JSON."""

    def checked(change: Raw) -> Any:
        text = (stored / "proof.json").read_text(encoding="utf-8")
        (tmp_path / "proof.json").write_text(change(text), encoding="utf-8")
        return steadfall.read(stored / "plan.yaml").recheck(tmp_path, only=ONLY).as_json()

    return checked


TEXTS: Mapping[str, tuple[Raw, str]] = {
    "nothing": (lambda _: "", "no stored proof can be read"),
    "half of it": (lambda text: text[: len(text) // 2], "no stored proof can be read"),
    "a list": (lambda _: "[]", "another plan"),
    "a number": (lambda _: "7", "another plan"),
    "null": (lambda _: "null", "another plan"),
    "a key twice": (lambda text: text.replace("{", '{"good": true,', 1), "'good' stands twice"),
    "a number that is none": (lambda text: text.replace('"seconds": ', '"seconds": NaN, "x": ', 1), "NaN is"),
    "a hundred thousand brackets": (lambda _: "[" * 100_000, "too many brackets"),
    "a number of 10,000 digits": (lambda text: text.replace('ms": ', 'ms": ' + "1" * 10_000, 1), "no stored"),
}


def everything_said(found: Any) -> str:
    """Every sentence of a result."""
    under = [row for fault in found.get("with_faults", []) for row in fault["requirements"]]
    rows = [*found.get("requirements", []), *under]
    notes = [f"{row['name']}: {note}" for row in rows for note in row["notes"]]
    refused = [problem["read"] for problem in found.get("problems", [])]
    return "\n".join([*found.get("differences", []), *notes, *refused])


def changed(change: Change) -> Raw:
    """A change of the proof as one of its text."""

    def text_of(text: str) -> str:
        proof = json.loads(text)
        change(proof)
        return json.dumps(proof)

    return text_of


@pytest.mark.slow
def test_what_nobody_changed_passes_as_it_was(again: Callable[[Raw], Any]) -> None:
    found = again(lambda text: text)
    assert found["differences"] == []
    assert [row["verdict"] for row in found["requirements"]] == ["refuted", "proved", "proved", "proved"]
    assert [row["rechecked"] for row in found["requirements"]] == [True] * 4
    assert [row["verdict"] for row in found["with_faults"][3]["requirements"]] == ["refuted"]
    assert not found["good"]  # one is refuted


REFUSED = {**{what: (changed(change), words) for what, (change, words) in SHAPE.items()}, **TEXTS}


@pytest.mark.parametrize("what", REFUSED)
def test_what_is_no_proof_is_refused_with_its_place(what: str, again: Callable[[Raw], Any]) -> None:
    change, words = REFUSED[what]
    with pytest.raises(steadfall.OutsideError) as refused:
        again(change)
    assert words in str(refused.value)


def without_faults(change: Change) -> Change:
    """The same change of a proof that says nothing of faults: to check those again takes the most time."""

    def both(proof: Any) -> None:
        proof["with_faults"] = []
        change(proof)

    return both


NOT_SO = {
    **{what: (without_faults(change), words) for what, (change, words) in CLAIMS.items()},
    **UNDER_FAULTS,
}


@pytest.mark.parametrize("what", NOT_SO)
def test_what_is_not_so_is_named_and_does_not_pass(what: str, again: Callable[[Raw], Any]) -> None:
    change, words = NOT_SO[what]
    found = again(changed(change))
    assert not found["good"]
    assert found["stopped"] or words in everything_said(found)
    assert found["requirements"][0]["verdict"] in ("refuted", "unknown")


@pytest.mark.parametrize(
    ("change", "code", "words"),
    [
        (CLAIMS["refuted called proved"][0], BAD, "cvc5 does not confirm the certificate"),
        (CLAIMS["a missing row"][0], BAD, "1 more are not in the stored proof"),
        (CLAIMS["another sentence"][0], BAD, "what is stored is not what checking it again gives"),
        (SHAPE["no scans"][0], OUTSIDE, "requirements[0].trace.steps[0].scans: 0"),
    ],
)
def test_a_person_sees_it(
    change: Change, code: int, words: str, stored: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (stored / "proof.json").read_text(encoding="utf-8")
    (tmp_path / "proof.json").write_text(changed(change)(text), encoding="utf-8")
    capsys.readouterr()
    asked = ["prove", str(stored / "plan.yaml"), *ASKED, "--recheck", "--out", str(tmp_path)]
    assert main(asked) == code
    said = capsys.readouterr()
    assert words in " ".join(f"{said.out} {said.err}".split())


def test_reasons_are_given_of_a_stored_run_that_is_one(
    stored: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "proof.json"
    text = (stored / "proof.json").read_text(encoding="utf-8")
    path.write_text(changed(set_to(*STEP, "scans", value=1.5))(text), encoding="utf-8")
    asked = ["why", str(stored / "plan.yaml"), "--signal", "upper.mist", "--only", REFUTED, "--trace"]
    assert main([*asked, str(path)]) == OUTSIDE
    assert "requirements[0].trace.steps[0].scans: 1.5" in capsys.readouterr().err
    assert main([*asked, str(stored / "proof.json")]) == 0


@pytest.mark.parametrize(
    "change",
    [
        set_to(*STEP, "inputs", "nowhere", value=True),
        set_to(*STEP, "inputs", "full_call", value=1),
        set_to(*STEP, "inputs", "upper.mist", value=True),
        set_to(*TRACE, "steps", 1, "scan_ms", value=41),
        set_to(*STEP, "off_ms", value=1000),
    ],
)
def test_no_reasons_are_given_of_a_run_that_the_plan_cannot_have(
    change: Change, stored: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "proof.json"
    text = (stored / "proof.json").read_text(encoding="utf-8")
    path.write_text(changed(change)(text), encoding="utf-8")
    asked = ["why", str(stored / "plan.yaml"), "--signal", "upper.mist", "--only", REFUTED, "--trace"]
    assert main([*asked, str(path)]) == OUTSIDE
    assert "is none of this plan" in capsys.readouterr().err
