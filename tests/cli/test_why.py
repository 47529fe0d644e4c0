"""`steadfall why`: what it prints, from where, and how it ends."""

import json
from pathlib import Path

import pytest

from steadfall.cli import main
from steadfall.trace.json import to_json
from tests.examples import EXAMPLES
from tests.why.document import DOCUMENT, with_example
from tests.why.press import history, plan
from tests.why.test_recorded import trace

PRESS = str(EXAMPLES["press"])
MIST = ["why", PRESS, "--signal", "upper.mist"]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "trace.json"
    data = to_json(trace(), scans_ms=history().times_ms.tolist(), digest=plan().digest)
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


def test_the_page_shows_what_the_command_prints() -> None:
    text = DOCUMENT.read_text(encoding="utf-8")
    assert with_example(text) == text


def test_a_moment_of_a_scenario_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*MIST, "--at", "361 s", "--scenario", "air lost", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["value"], told["at_s"]) == (False, 361.0)
    assert [(fact["kind"], fact["name"]) for fact in told["facts"]] == [("input", "air_pressure_ok")]


def test_a_trace(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*MIST, "--at", "12.34s", "--trace", str(file)]) == 0
    assert "in its open part, 340 ms of 400 ms" in capsys.readouterr().out


def test_the_files_of_a_prediction(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["predict", PRESS, "--coarse", "--scenario", "air lost", "--out", str(tmp_path)])
    capsys.readouterr()
    assert main([*MIST, "--at", "365s", "--trace", str(tmp_path / "events.csv")]) == 0
    said = capsys.readouterr()
    assert "air_pressure_ok is off since 6:00" in said.out
    assert "the neighbouring one was taken" in said.err


def test_a_trace_of_another_plan_is_refused(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(file.read_text(encoding="utf-8"))
    file.write_text(json.dumps({**data, "digest": "another"}), encoding="utf-8")
    assert main([*MIST, "--at", "1s", "--trace", str(file)]) == 3
    assert "another plan" in capsys.readouterr().err


def test_a_trace_that_parts_from_its_replay_is_refused_from_there_on(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = json.loads(file.read_text(encoding="utf-8"))
    mist = next(track for track in data["tracks"] if track["name"] == "upper.mist")
    mist["values"][1] = not mist["values"][1]
    file.write_text(json.dumps(data), encoding="utf-8")
    assert main([*MIST, "--at", "1s", "--trace", str(file)]) == 0
    assert main([*MIST, "--at", "12s", "--trace", str(file)]) == 3
    assert "differs from its record at 0:08 (upper.mist)" in capsys.readouterr().err


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{}",
        "[]",
        '{"end_ms": 1, "tracks": [{}]}',
        '{"end_ms": 1, "tracks": [{"name": "a", "kind": "b"}]}',
    ],
)
def test_what_is_no_trace_is_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str
) -> None:
    for name in ("a.json", "events.csv"):
        (tmp_path / name).write_text(text, encoding="utf-8")
        assert main([*MIST, "--at", "1s", "--trace", str(tmp_path / name)]) == 3
        said = capsys.readouterr().err
        assert "is not a trace" in said
        assert said.count("not a trace") == 1
        assert "list indices" not in said


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["--signal", "upper.mits", "--at", "1s"], "upper.mist"),
        (["--signal", "upper.mist", "--at", "12:99"], "4:40"),
        (["--signal", "upper.mist", "--at", "-1s"], "less than 0 s"),
        (["--signal", "upper.mist"], "--at"),
        (["--signal", "upper.mist", "--at", "1s", "--trace", "a.json", "--scenario", "x"], "exclude"),
        (["--signal", "upper.mist", "--at", "100h", "--scenario", "air lost"], "ends at"),
    ],
)
def test_wrong_usage_is_2(options: list[str], word: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", PRESS, *options]) == 2
    assert word in capsys.readouterr().err
