"""`--json` of every verb: what is printed has the names and kinds that docs/json.md describes."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

import steadfall
from steadfall.cli import COMMANDS, main
from tests.cli.described import described, wrong_result
from tests.examples import EXAMPLES
from tests.plan.paths import GOOD
from tests.prove.revisions import revised_text

pytestmark = pytest.mark.usefixtures("proofs_here")

PRESS = str(EXAMPLES["press"])
Ask = Callable[..., tuple[int, Any]]


@pytest.fixture(scope="module")
def emitted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program of the press and its lists, written once."""
    folder = tmp_path_factory.mktemp("emitted")
    steadfall.read(PRESS).emit().write(folder)
    return folder


@pytest.fixture
def ask(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, emitted: Path
) -> Ask:
    """Runs a verb with `--json` in a folder with a program and another plan; gives exit code and what it
    printed.
    """
    monkeypatch.chdir(tmp_path)
    Path("other.yaml").write_text(revised_text("dose changed"), encoding="utf-8")
    shutil.copytree(emitted, "code")

    def asked(*words: str) -> tuple[int, Any]:
        code = main([*words, "--json"])
        return code, json.loads(capsys.readouterr().out)

    return asked


NAME = "upper.drain.at_rest"
SMALL = str(next(path for path in GOOD if path.stem == "small"))  # no doses keep its limit
MIST = ("why", PRESS, "--signal", "upper.mist")
CASES: Sequence[tuple[str, Sequence[str]]] = (
    ("new plan", ("new", "here")),
    ("check", ("check", PRESS)),
    ("sketch", ("sketch", PRESS)),
    ("sketch", ("sketch", PRESS, "--stages")),
    ("schema", ("schema",)),
    ("emission", ("emit", PRESS, "--out", "there")),
    ("prediction", ("predict", PRESS, "--coarse")),
    ("prediction", ("predict", PRESS, "--coarse", "--code", "code/controller.st")),
    ("sizing", ("size", PRESS, "--out", "sizes")),
    ("dose search", ("dose", SMALL, "--tries", "20")),
    ("upset table", ("upset", PRESS, "--only", "upper.flood stuck shut")),
    ("proof", ("prove", PRESS, "--only", NAME, "--out", "proof")),
    ("proof", ("prove", PRESS, "--only", NAME, "--code", "code/controller.st")),
    ("answer", (*MIST, "--at", "6 min", "--scenario", "air lost")),
    ("session", ("bench", SMALL, "--link", "rehearsal", "--for", "2 s", "--out", "evidence")),
    ("serving", ("serve", PRESS, "--opcua", "0", "--modbus", "0", "--for", "0 s", "--links", "links")),
    ("comparison", ("compare", PRESS, "other.yaml")),
    ("comparison", ("compare", PRESS, "code/controller.st")),
)


@pytest.mark.parametrize(("kind", "words"), CASES, ids=[" ".join(words[:1]) for _, words in CASES])
def test_every_name_is_described(kind: str, words: Sequence[str], ask: Ask) -> None:
    code, made = ask(*words)
    assert wrong_result(made, kind) == []
    assert made["steadfall"] == 1
    assert made["good"] == (code == 0)
    with_code = "code/controller.st" in words
    assert ((made.get("code") or {}).get("file") == "code/controller.st") == with_code


def test_every_verb_is_asked() -> None:
    lasting = {"open"}  # serves until it is ended: tests/web/test_serve.py
    assert {words[0] for _, words in CASES} | lasting == set(COMMANDS)


@pytest.mark.slow
def test_the_names_of_bands_are_described(ask: Ask) -> None:
    _, made = ask("predict", SMALL, "--coarse", "--band", "20")
    assert wrong_result(made, "prediction") == []
    assert len(made["bands"]["each"]) == len(made["limits"]) + len(made["goals"])


def test_a_plan_is_told_alike_by_every_verb(ask: Ask) -> None:
    plan = steadfall.read(PRESS).plan
    expected = {"title": plan.title, "file": PRESS, "revised": plan.revised, "digest": plan.digest}
    for words in (("check", PRESS), ("emit", PRESS, "--out", "x"), ("prove", PRESS, "--only", NAME)):
        assert ask(*words)[1]["plan"] == expected


REFUSED: Sequence[tuple[int, str, Sequence[str]]] = (
    (3, "unreadable", ("check", "nowhere.yaml")),
    (3, "unreadable", ("predict", "nowhere.yaml")),
    (3, "unreadable", ("prove", "nowhere.yaml")),
    (3, "unreadable", ("size", "nowhere.yaml")),
    (3, "unreadable", ("why", "nowhere.yaml", "--signal", "x", "--at", "1s")),
    (3, "unreadable", ("emit", "nowhere.yaml", "--out", "x")),
    (3, "unreadable", ("compare", PRESS, "nowhere.yaml")),
    (2, "usage", ("predict", PRESS, "--jitter", "-1")),
    (2, "usage", ("prove", PRESS, "--recheck")),
    (2, "usage", (*MIST, "--at", "12:99")),
    (2, "usage", ("size",)),
    (2, "unknown-name", ("upset", PRESS, "--only", "upper.flod")),
    (2, "usage", ("new", "plan.yaml")),
    (2, "usage", ("emit", PRESS)),
    (2, "usage", ("chekc", PRESS)),
    (2, "usage", ("schema", "more")),
    (2, "unknown-name", ("prove", PRESS, "--only", "no.such")),
    (3, "outside", ("prove", PRESS, "--recheck", "--out", "nowhere")),
    (3, "outside", ("emit", PRESS, "--out", "other.yaml/x")),
    (3, "outside", ("size", PRESS, "--out", "other.yaml/x")),
    (3, "outside", (*MIST, "--at", "1s", "--trace", "nowhere.json")),
    (3, "outside", ("compare", PRESS, "nowhere.st")),
)


@pytest.mark.parametrize(("code", "slug", "words"), REFUSED)
def test_what_is_wrong_is_json_too(code: int, slug: str, words: Sequence[str], ask: Ask) -> None:
    found, made = ask(*words)
    assert found == code
    assert wrong_result(made, "check" if words[0] == "check" else "refusal") == []
    assert made["good"] is False
    assert [problem["slug"] for problem in made["problems"]] == [slug]
    assert made["problems"][0]["read"]


def test_a_name_that_is_not_described_is_noticed(ask: Ask) -> None:
    _, made = ask("check", PRESS)
    assert wrong_result({**made, "more": 1}, "check") == ["check.more is not described"]
    assert wrong_result({"good": True, **made}, "check") == ["check: it does not begin with its head"]
    assert all(names for names in described().values())
