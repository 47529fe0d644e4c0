"""What the papers say of a proof."""

from pathlib import Path

import pytest

from steadfall.app.emit import emit
from steadfall.cli import main
from steadfall.lists.operation import operation
from steadfall.lists.verdicts import NO_PROOF, Requirement, warning
from steadfall.plan.read.whole import read_file
from steadfall.prove.whole.shape import FILE
from steadfall.source import OutsideError
from tests.plan.paths import GOOD

SMALL = next(path for path in GOOD if path.stem == "small")
PLAN = read_file(SMALL)
PROOF = tuple(Requirement(f"Sentence {word}.", word) for word in ("proved", "refuted", "vacuous", "unknown"))


def test_every_verdict_stands_in_the_description() -> None:
    text = operation(PLAN, PROOF)
    assert f"Of the plan with digest {PLAN.digest}: 1 of 4 requirements are proved." in text
    for line in ("proved: Sentence proved.", "REFUTED: Sentence refuted.", "NOT PROVED: Sentence unknown."):
        assert f"- {line}" in text


@pytest.mark.parametrize(
    ("proof", "told"),
    [
        (None, NO_PROOF),
        (PROOF[:1], ""),
        (PROOF, "of 4 requirements: 1 REFUTED, 1 proved, but never exercised, 1 NOT PROVED"),
    ],
)
def test_the_warning(proof: tuple[Requirement, ...] | None, told: str) -> None:
    assert warning(proof) == told


def test_without_a_proof_it_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["emit", str(SMALL), "--out", str(tmp_path)]) == 0
    assert f"warning: {NO_PROOF}" in capsys.readouterr().err
    assert "Nothing says that this program was proved" in (tmp_path / "operation.md").read_text("utf-8")


def test_a_proof_of_another_plan_is_none_of_this(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text('{"plan": {"digest": "0"}, "code": null}', encoding="utf-8")
    with pytest.raises(OutsideError, match="another plan"):
        emit(PLAN, tmp_path)
