"""A Python user's session: one plan, every use of it, without a command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import steadfall
from steadfall.app.given.document import json_text
from tests.cli.described import wrong_result
from tests.examples import EXAMPLES
from tests.prove.revisions import revised_text

NAME = "upper.drain.at_rest"


class Heard(steadfall.Progress):
    """Remembers what it was told, and stops after so many words."""

    def __init__(self, most: int = 1_000_000) -> None:
        self.words: list[str] = []
        self.most = most

    def tell(self, done: float, of: float | None, words: str) -> None:
        assert of is None or done <= of
        self.words.append(words)

    def cancelled(self) -> bool:
        return len(self.words) >= self.most


@pytest.fixture(scope="module")
def plan() -> steadfall.CoolingPlan:
    return steadfall.read(EXAMPLES["press"])


def described(made: object, kind: str) -> list[str]:
    return wrong_result(json.loads(json_text(made)), kind)


@pytest.mark.slow
def test_a_proof(plan: steadfall.CoolingPlan, tmp_path: Path) -> None:
    heard = Heard()
    proved = plan.prove(NAME, progress=heard)
    assert proved.good
    assert [row.verdict for row in proved.verdicts] == ["proved"]
    assert heard.words[0] == "getting ready"
    assert described(proved.as_json(), "proof") == []
    proved.write(tmp_path)
    again = plan.recheck(tmp_path, only=(NAME,))
    assert again.good
    assert again.verdicts[0].rechecked
    assert NAME in again.witnesses([NAME])
    code = plan.bring(plan.emit().write(tmp_path).written[0])
    with pytest.raises(steadfall.OutsideError, match="another controller's text"):
        plan.recheck(tmp_path, code)


def test_a_proof_that_is_cancelled_keeps_what_is_proved(plan: steadfall.CoolingPlan) -> None:
    proved = plan.prove(NAME, "upper.sweep.at_rest", progress=Heard(most=2))
    assert proved.proof.stopped
    assert not proved.good
    assert [row.verdict for row in proved.verdicts].count("proved") == 1


def test_reasons(plan: steadfall.CoolingPlan) -> None:
    answer = plan.why("upper.mist", at="3 min")
    assert answer.sentences() == plan.why("upper.mist", at=180.0).sentences()
    assert described(answer.as_json(), "answer") == []
    with pytest.raises(steadfall.AskError, match=r"near are upper\.mist"):
        plan.why("upper.mits", at=1)
    with pytest.raises(steadfall.AskError, match="--at"):
        plan.why("upper.mist")


def test_a_comparison(plan: steadfall.CoolingPlan, tmp_path: Path) -> None:
    path = tmp_path / "other.yaml"
    path.write_text(revised_text("words alone"), encoding="utf-8")
    other = steadfall.read(path)
    assert plan.compare(other).good
    assert described(plan.compare(other).as_json(), "comparison") == []


def test_a_controller(plan: steadfall.CoolingPlan, tmp_path: Path) -> None:
    emitted = plan.emit().write(tmp_path)
    assert emitted.text.startswith("(*") or "PROGRAM" in emitted.text
    assert {path.name for path in emitted.written} == set(emitted.files)
    code = plan.bring(tmp_path / "controller.st", tmp_path / "map.yaml")
    assert code.remarks == ()
    assert plan.compare(code).good
    told = plan.predict(quick=True, code=code)
    assert told.code == code.text
    assert told.good == plan.predict(quick=True).good


def test_sizes(plan: steadfall.CoolingPlan, tmp_path: Path) -> None:
    sized = plan.size()
    assert sized.good
    assert described(sized.as_json(), "sizing") == []
    assert [path.name for path in sized.write(tmp_path)] == ["sizes.html", "sizes.json"]
    assert all(path.stat().st_size > 5000 for path in tmp_path.iterdir())


def test_what_nobody_wants_any_more_ends(plan: steadfall.CoolingPlan) -> None:
    for work in (
        lambda: plan.predict(quick=True, progress=Heard(most=1)),
        lambda: plan.size(progress=Heard(most=1)),
        lambda: plan.why("upper.mist", at=600.0, progress=Heard(most=1)),
        lambda: plan.compare(plan, progress=Heard(most=1)),
        lambda: plan.emit(progress=Heard(most=1)),
    ):
        with pytest.raises(steadfall.Cancelled):
            work()
