"""The commands as a person types them: words, exit codes, what lands on stdout and what on stderr."""

import json
from pathlib import Path

import pytest

from steadfall.cli import COMMANDS, main
from steadfall.plan.starter import PATTERNS, starter
from tests.examples import EXAMPLES


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "plan.yaml"
    path.write_text(starter("press"), encoding="utf-8")
    return path


@pytest.mark.parametrize("pattern", PATTERNS)
def test_new_then_check(tmp_path: Path, capsys: pytest.CaptureFixture[str], pattern: str) -> None:
    assert main(["new", str(tmp_path / pattern), "--pattern", pattern]) == 0
    path = tmp_path / pattern / "plan.yaml"
    assert capsys.readouterr().out == f"wrote {path}\n"
    assert main(["check", str(path)]) == 0
    assert "no problems" in capsys.readouterr().out


def test_new_never_overwrites(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", str(tmp_path)]) == 0
    (tmp_path / "plan.yaml").write_text("mine", encoding="utf-8")
    assert main(["new", str(tmp_path)]) == 3
    assert "is there already" in capsys.readouterr().err
    assert (tmp_path / "plan.yaml").read_text(encoding="utf-8") == "mine"


def test_check_lists_every_problem_on_stdout(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan.write_text(
        plan.read_text().replace("pressure: 4 barg", "pressure: 4 bar", 1).replace("22 degC", "22 K", 1),
        encoding="utf-8",
    )
    assert main(["check", str(plan)]) == 1
    listing = capsys.readouterr().out
    assert "gauge or absolute" in listing
    assert "2 problems" in listing


def test_check_as_json(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(plan), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["good"] is True
    plan.write_text(plan.read_text().replace("pressure: 4 barg", "pressure: 4 bar", 1), encoding="utf-8")
    assert main(["check", str(plan), "--json"]) == 1
    problems = json.loads(capsys.readouterr().out)["problems"]
    assert [set(problem) for problem in problems] == [
        {"file", "line", "column", "slug", "key", "read", "expected", "example"}
    ]
    assert plan.read_text().splitlines()[problems[0]["line"] - 1].count("4 bar") == 1


def test_predict_of_a_bad_plan_keeps_stdout_clean(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan.write_text("steadfall: 1\n", encoding="utf-8")
    assert main(["predict", str(plan)]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert "problem" in said.err


@pytest.mark.parametrize("verb", ["check", "predict"])
def test_a_missing_file_is_a_sentence(verb: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([verb, str(tmp_path / "nowhere.yaml")]) == 3
    said = capsys.readouterr()
    assert "nowhere.yaml" in said.out + said.err


@pytest.mark.parametrize(
    "arguments", [["chekc", "plan.yaml"], ["check"], ["check", "a", "b"], ["new", "d", "--pattern", "x"]]
)
def test_wrong_usage_is_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    assert "Usage" in capsys.readouterr().err


def test_schema_is_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    assert json.loads(capsys.readouterr().out)["$schema"].endswith("2020-12/schema")


@pytest.mark.parametrize("verb", COMMANDS)
def test_every_verb_has_help_of_its_own(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([verb, "--help"]) == 0
    assert f"steadfall {verb}" in capsys.readouterr().out


def test_help_lists_every_verb(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    said = capsys.readouterr().out
    assert all(f"  {verb}" in said for verb in COMMANDS)


def test_no_verb_has_more_than_ten_options(capsys: pytest.CaptureFixture[str]) -> None:
    for verb in COMMANDS:
        main([verb, "--help"])
        options = [line for line in capsys.readouterr().out.splitlines() if line.startswith("  -")]
        assert len(options) <= 11, verb  # eight of its own, two for a controller's text, and --help


@pytest.mark.parametrize(
    "words",
    [("predict",), ("size",), ("why", "--signal", "upper.mist", "--at", "3min")],
    ids=lambda words: words[0],
)
def test_a_scenario_that_is_not_in_the_plan_is_wrong_use(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    verb, *more = words
    assert main([verb, str(EXAMPLES["press"]), *more, "--scenario", "air lots"]) == 2
    told = capsys.readouterr().err
    assert "'air lots' is no scenario of this plan; did you mean 'air lost'?" in told
