"""`steadfall predict`: what it prints, what it writes, and how it ends."""

import json
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from steadfall.app import predict as use
from steadfall.cli import main
from steadfall.plan.read.whole import read_file
from steadfall.predict import run
from steadfall.predict.outcome.result import Prediction
from steadfall.source import OutsideError
from steadfall.st.write.whole import structured_text
from steadfall.trace import frame
from tests.examples import EXAMPLES

BARREL = str(EXAMPLES["barrel"])
MINUTE = "a minute: {steps: [{at: 0 s, cool_call: on}], until: 1 min}"
BARREL_TEXT = EXAMPLES["barrel"].read_text(encoding="utf-8")
PAPERS = {"report.html", "prediction.json", "trace.csv", "events.csv", "trace.parquet"}


def test_the_summary_and_the_papers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(
        ["predict", BARREL, "--coarse", "--scenario", "strongest call", "--out", str(tmp_path / "a" / "b")]
    ) in (0, 1)
    said = capsys.readouterr()
    assert "Tamble Reach" in said.out
    assert {path.name for path in (tmp_path / "a" / "b").iterdir()} == PAPERS
    assert said.err.count("wrote ") == len(PAPERS)


@pytest.mark.parametrize("letters", [60, 80])
def test_the_summary_is_as_wide_as_the_terminal(
    letters: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(letters))
    main(["predict", str(EXAMPLES["oven"]), "--coarse"])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= letters


def test_json_is_the_same_as_the_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["predict", BARREL, "--coarse", "--json", "--out", str(tmp_path)])
    told = json.loads(capsys.readouterr().out)
    assert told == json.loads((tmp_path / "prediction.json").read_text(encoding="utf-8"))
    assert code == (0 if told["good"] else 1)
    assert code == 0


def test_a_broken_limit_is_exit_code_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = Path(BARREL).read_text(encoding="utf-8")
    plan = tmp_path / "plan.yaml"
    plan.write_text(
        text.replace("zone_3.pressure, at most: 7 barg", "zone_3.pressure, at most: 0.2 barg"),
        encoding="utf-8",
    )
    assert main(["predict", str(plan), "--coarse"]) == 1
    assert "BROKEN" in capsys.readouterr().out


def test_books_that_do_not_close_are_said_loudly_and_exit_1(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    honest = run.predict

    def cooked(*arguments: Any, **options: Any) -> Prediction:
        result = honest(*arguments, **options)
        return evolve(result, balance={**result.balance, "energy": -4e-3})

    monkeypatch.setattr(use, "predict_alone", cooked)
    assert main(["predict", BARREL, "--coarse"]) == 1
    assert "THE BOOKS DO NOT CLOSE" in capsys.readouterr().out


def test_an_unknown_scenario_is_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", BARREL, "--scenario", "nobody wrote this"]) == 2
    assert "nobody wrote this" in capsys.readouterr().err


def test_ctrl_c_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def pressed(*_arguments: Any, **_options: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(use, "write_events", pressed)
    assert main(["predict", BARREL, "--coarse", "--out", str(tmp_path / "out")]) == 130
    assert list((tmp_path / "out").iterdir()) == []
    assert "nothing was left half-written" in capsys.readouterr().err


def test_a_folder_that_cannot_be_written_is_the_outsides_fault(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out").write_text("a file stands there", encoding="utf-8")
    assert main(["predict", BARREL, "--out", str(tmp_path / "out")]) in (2, 3)
    assert "out" in capsys.readouterr().err


def test_a_missing_optional_package_is_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def absent(*_arguments: Any, **_options: Any) -> None:
        raise OutsideError("the Parquet file needs pandas and pyarrow: pip install 'steadfall[frame]'")

    monkeypatch.setattr(frame, "write_parquet", absent)
    assert main(["predict", BARREL, "--coarse", "--out", str(tmp_path)]) == 3
    assert "pip install" in capsys.readouterr().err


def test_what_hangs_on_the_grid_is_not_good_and_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A limit is put between what 5 cells say and what 20 say: neither kept nor broken."""
    minute = BARREL_TEXT.replace("scenarios:\n", f"scenarios:\n  {MINUTE}\n")

    def told(limit: str, *options: str) -> tuple[int, dict[str, Any]]:
        plan = tmp_path / "plan.yaml"
        plan.write_text(minute.replace("zone_3.wall_shock, at most: 80 K", limit), encoding="utf-8")
        asked = ["predict", str(plan), "--scenario", "a minute", "--cells", "5", *options]
        return main([*asked, "--json"]), json.loads(capsys.readouterr().out)

    _, loose = told("zone_3.wall_shock, at most: 500 K")
    row = next(row for row in loose["limits"] if row["of"] == "zone_3.wall_shock")
    assert row["verdict"] == "kept"
    assert row["finer"]["value"] != row["worst"]
    between = 0.5 * (row["finer"]["value"] + row["worst"])
    code, found = told(f"zone_3.wall_shock, at most: {between:.6g} K")
    row = next(row for row in found["limits"] if row["of"] == "zone_3.wall_shock")
    assert (row["verdict"], row["kept"], code, found["good"]) == ("not resolved", False, 1, False)
    main(["predict", str(tmp_path / "plan.yaml"), "--scenario", "a minute", "--cells", "5"])
    assert "NOT RESOLVED, plan line" in capsys.readouterr().out


@pytest.mark.parametrize(
    "options",
    [
        ["--jitter", "-1"],
        ["--band", "2"],
        ["--band", "many"],
        ["--cells", "4"],
        ["--cells", "321"],
        ["--cells", "20", "--coarse"],
    ],
)
def test_wrong_options_are_2(options: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", BARREL, *options]) == 2
    assert "Usage" in capsys.readouterr().err


@pytest.mark.slow
def test_bands_on_processes_of_their_own(capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["predict", BARREL, "--coarse", "--json", "--band", "10"])
    found = json.loads(capsys.readouterr().out)["bands"]
    assert code in (0, 1)
    assert found["runs"] == 10
    assert found["good"]["low"] <= found["good"]["share"] <= found["good"]["high"]
    assert [one["runs"] for one in found["each"]] == [10] * len(found["each"])


def test_a_controllers_text_runs_in_the_plans_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The emitted text predicts what its plan predicts; the same with every dose twice as long does not."""
    plan = read_file(EXAMPLES["press"])
    written = structured_text(plan)
    code, names = tmp_path / "controller.st", tmp_path / "map.yaml"
    code.write_text(written.text, encoding="utf-8")
    lines = [f"{name}: {signal}" for name, signal in written.names.items()]
    names.write_text("\n".join(lines) + "\n", encoding="utf-8")
    press, reached = str(EXAMPLES["press"]), []
    for options in ([], ["--code", str(code)], ["--code", str(code), "--map", str(names)]):
        assert main(["predict", press, "--coarse", "--json", *options]) == 0
        told = json.loads(capsys.readouterr().out)
        assert bool(options) == any("controller.st" in note["sentence"] for note in told["notes"])
        reached.append(told["goals"][0]["reached_s"])
    assert reached[0] == reached[1] == reached[2]
    code.write_text(written.text.replace("T#400ms", "T#800ms"), encoding="utf-8")
    main(["predict", press, "--coarse", "--json", "--code", str(code)])
    assert json.loads(capsys.readouterr().out)["goals"][0]["reached_s"] < reached[0]


def test_bands_are_not_of_a_controllers_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", BARREL, "--band", "10", "--code", "any.st"]) == 2
    assert "--code" in capsys.readouterr().err
