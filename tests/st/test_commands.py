"""`emit` and `compare` as a person meets them, and a prediction with the controller's own text."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadfall.cli import main
from steadfall.plan.meaning.names import valves
from steadfall.predict.run import coarse, predict
from steadfall.st.bring import bring
from tests.examples import EXAMPLES
from tests.st.test_text import PRESS

pytestmark = pytest.mark.usefixtures("proofs_here")

PLAN = str(EXAMPLES["press"])
FILES = {
    "controller.st", "map.yaml", "io_list.csv", "io_list.xlsx", "cause_and_effect.html",
    "cause_and_effect.xlsx",
    "alarms.csv", "alarms.xlsx", "operation.md",
}  # fmt: skip


def test_emit_writes_everything(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["emit", PLAN, "--out", str(tmp_path / "a"), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (
        {Path(path).name for path in said["written"]}
        == FILES
        == {path.name for path in (tmp_path / "a").iterdir()}
    )
    assert main(["emit", PLAN, "--out", str(tmp_path / "b")]) == 0
    for name in FILES:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_emit_says_what_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("", encoding="ascii")
    assert main(["emit", PLAN, "--out", str(tmp_path / "file" / "x")]) == 3
    assert "cannot write into" in capsys.readouterr().err
    assert main(["emit", PLAN]) == 2


@pytest.mark.slow
def test_compare_a_text_with_its_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["emit", PLAN, "--out", str(tmp_path)]) == 0
    code = tmp_path / "controller.st"
    capsys.readouterr()
    assert main(["compare", PLAN, str(code), "--map", str(tmp_path / "map.yaml")]) == 0
    assert "equal for ever" in capsys.readouterr().out
    text = code.read_text(encoding="ascii")
    code.write_text(text.replace("IF NOT may_cool THEN", "IF NOT may_cool + THEN"), "ascii")
    assert main(["compare", PLAN, str(code)]) == 1
    assert f"{code.name}:" in capsys.readouterr().err


def test_a_whole_number_that_may_pass_its_type_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The count of doses is nowhere kept from passing 32767, and nothing else is told."""
    assert main(["emit", PLAN, "--out", str(tmp_path)]) == 0
    code = tmp_path / "controller.st"
    text = code.read_text(encoding="ascii")
    counted = text.replace("PROGRAM", "VAR_GLOBAL doses : INT; END_VAR\nPROGRAM", 1)
    counted = counted.replace("END_PROGRAM", "IF upper_mist THEN doses := doses + 1; END_IF;\nEND_PROGRAM")
    code.write_text(counted, encoding="ascii")
    capsys.readouterr()
    main(
        [
            "prove",
            PLAN,
            "--code",
            str(code),
            "--only",
            "upper.mist.shortest_shut",
            "--effort",
            "0.01",
            "--json",
        ]
    )
    told = [line for line in capsys.readouterr().err.splitlines() if "may pass" in line]
    assert len(told) == 1
    assert "controller.st: 'doses' may pass what its type holds, -32768 to 32767 (line " in told[0]


def test_a_prediction_with_the_emitted_text_is_the_plans_own(tmp_path: Path) -> None:
    assert main(["emit", PLAN, "--out", str(tmp_path)]) == 0
    network = bring(PRESS, tmp_path / "controller.st")
    settings = coarse(PRESS)
    own, other = predict(PRESS, settings=settings), predict(PRESS, settings=settings, network=network)
    assert own.end_ms == other.end_ms
    for name in network.outputs:
        assert own.trace.changes(name) == other.trace.changes(name)
    assert own.trace.at("splice", own.end_ms) == other.trace.at("splice", other.end_ms)


def test_a_text_without_stages_is_asked_what_it_can_be_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every valve follows one call; stages, doses and times are nowhere."""
    code, names = tmp_path / "site.st", tmp_path / "map.yaml"
    signals = {name.replace(".", "_"): name for name in (*valves(PRESS), "full_call")}
    words = [word for word in signals if word != "full_call"]
    outputs = f"VAR_OUTPUT {', '.join(words)} : BOOL; END_VAR"
    body = "\n".join(f"{word} := full_call;" for word in words)
    code.write_text(f"PROGRAM x VAR_INPUT full_call : BOOL; END_VAR {outputs}\n{body}\nEND_PROGRAM", "ascii")
    names.write_text("".join(f"{word}: {name}\n" for word, name in signals.items()), "ascii")
    main(["prove", PLAN, "--code", str(code), "--map", str(names), "--effort", "0.01", "--json"])
    said = capsys.readouterr()
    made = json.loads(said.out)
    asked = {row["name"]: row["verdict"] for row in made["requirements"]}
    assert asked["upper.mist.not_with_drain"] == "refuted"
    assert not set(asked) & set(made["left_out"])
    assert any("upper.mist" in name for name in made["left_out"])
    assert f"left out, since the text does not have their signals: {made['left_out'][0]}" in said.err


def test_a_time_beyond_32_bit_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A plan's own times end at 240 h; a controller's text may have longer ones."""
    text = Path(PLAN).read_text(encoding="utf-8")
    plan, code = tmp_path / "plan.yaml", tmp_path / "controller.st"
    plan.write_text(text.replace("after 60 s", "after 600 h", 1), encoding="utf-8")
    assert main(["check", str(plan)]) == 1
    assert "expected a time from 0 s up to 240 h" in capsys.readouterr().out
    plan.write_text(text.replace("after 60 s", "after 47 min", 1), encoding="utf-8")
    assert main(["emit", str(plan), "--out", str(tmp_path)]) == 0
    emitted = code.read_text(encoding="ascii")
    assert emitted.count("T#47m;") == 1
    code.write_text(emitted.replace("T#47m;", "T#600h;"), encoding="ascii")
    only = ["--only", "upper.mist.shortest_shut", "--effort", "0.01", "--json"]
    main(["prove", str(plan), "--code", str(code), *only])
    told = [line for line in capsys.readouterr().err.splitlines() if "32 bit" in line]
    assert len(told) == 1
    assert "controller.st: a time of 2160000000 ms (line " in told[0]
