"""`steadfall compare` as a person meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from steadfall.cli import main
from tests.examples import EXAMPLES
from tests.prove.revisions import revised_text

pytestmark = pytest.mark.usefixtures("proofs_here")

PRESS, OVEN = str(EXAMPLES["press"]), str(EXAMPLES["oven"])


def written(folder: Path, name: str) -> str:
    path = folder / f"{name.replace(' ', '_')}.yaml"
    path.write_text(revised_text(name), encoding="utf-8")
    return str(path)


def test_a_changed_dose_is_told_valve_by_valve(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(
            [
                "compare",
                PRESS,
                written(tmp_path, "dose changed"),
                "--out",
                str(tmp_path / "out"),
                "--effort",
                "0.2",
            ]
        )
        == 1
    )
    said = capsys.readouterr().out
    assert "Of the 9 outputs that both have, three differ and six are equal for ever." in said
    assert "upper: mist differs after 0:00.401; flood, sweep and drain equal for ever" in said
    assert "press.yaml: 400 ms" in said
    assert "dose_changed.yaml: 500 ms" in said
    assert "in press.yaml:\n  upper.mist is shut at 0:00.401 because" in said
    assert "in dose_changed.yaml:\n  upper.mist is open at 0:00.401 because" in said
    assert max(map(len, said.splitlines())) <= 100
    page = (tmp_path / "out" / "compare.html").read_text(encoding="utf-8")
    assert "here they differ 0:00.401" in page
    stored = json.loads((tmp_path / "out" / "compare.json").read_text(encoding="utf-8"))
    assert stored["parted_at_ms"] == 401
    assert {row["name"]: row["verdict"] for row in stored["each"]}["lower.drain"] == "equal"


def test_what_only_one_has_makes_the_exit_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    added = written(tmp_path, "circuit added")
    assert main(["compare", PRESS, added]) == 1
    said = capsys.readouterr().out
    assert "All 9 outputs that both have are equal for ever; five more only one of them has." in said
    assert "only circuit_added.yaml commands edge.mist, edge.flood, edge.sweep, edge.drain" in said
    assert main(["compare", added, PRESS]) == 1
    assert "only circuit_added.yaml commands edge.mist" in capsys.readouterr().out


def test_a_renamed_input_is_told_and_a_map_overrules_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = written(tmp_path, "input renamed")
    assert main(["compare", PRESS, other]) == 0
    assert "taken as renamed: input 'full_call' is 'strong_call'" in " ".join(capsys.readouterr().out.split())
    table = tmp_path / "map.yaml"
    table.write_text("strong_call: full_call\n", encoding="utf-8")
    assert main(["compare", PRESS, other, "--map", str(table), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["renamed"] == [{"kind": "input", "first": "full_call", "second": "strong_call"}]
    table.write_text("strong_calls: full_call\n", encoding="utf-8")
    assert main(["compare", PRESS, other, "--map", str(table)]) == 1
    assert "did you mean 'strong_call'?" in capsys.readouterr().err


def test_the_same_file_twice_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", PRESS, PRESS]) == 0
    assert "are the same file." in capsys.readouterr().out
    copy = written(tmp_path, "words alone")
    Path(copy).write_text(Path(PRESS).read_text(encoding="utf-8"), encoding="utf-8")
    assert main(["compare", PRESS, copy]) == 0
    assert "The two files are the same, letter by letter." in capsys.readouterr().out


def test_two_plans_with_nothing_in_common(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", PRESS, OVEN]) == 1
    said = capsys.readouterr()
    assert "command no valve of the same name" in said.err
    assert "such as 'coil_1: upper'" in said.err
    assert not said.out


@pytest.mark.parametrize(
    ("name", "content", "code", "words"),
    [
        ("none.yaml", None, 3, "there is no such file"),
        ("none.st", None, 3, "cannot read"),
        ("binary.yaml", b"\xa8\x00\xff", 1, "not UTF-8"),
        ("binary.st", b"PROGRAM\n x \xa8", 1, "binary.st:2:4: byte 11 (0xA8) is not UTF-8"),
        ("half.yaml", b"steadfall: 1\n", 1, "this key is missing"),
        ("half.st", b"PROGRAM x\nEND_PROGRAM\n", 1, "no outputs"),
    ],
)
def test_a_second_file_that_cannot_be_read(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    name: str,
    content: bytes | None,
    code: int,
    words: str,
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    assert main(["compare", PRESS, str(tmp_path / name)]) == code
    assert words in capsys.readouterr().err


def test_a_map_of_a_text_that_lacks_a_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["emit", PRESS, "--out", str(tmp_path)]) == 0
    table = tmp_path / "map.yaml"
    lines = table.read_text(encoding="utf-8").splitlines()
    table.write_text("\n".join(line for line in lines if "upper.flood" not in line), encoding="utf-8")
    assert main(["compare", PRESS, str(tmp_path / "controller.st"), "--map", str(table)]) == 1
    assert "nothing commands the valve 'upper.flood'; did you mean 'upper_flood'?" in capsys.readouterr().err


def test_a_text_does_not_come_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(tmp_path / "controller.st"), PRESS]) == 2
    assert "name the plan first" in capsys.readouterr().err
