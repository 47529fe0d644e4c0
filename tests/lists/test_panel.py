"""The list that came with the panel drawing: good ones are used, each thing wrong is a problem with its
row.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from attrs import evolve

from steadfall.lists.panel import panel
from steadfall.lists.papers import papers
from steadfall.lists.sheet import Sheet
from steadfall.lists.spreadsheet import xlsx
from steadfall.lists.wiring import wiring
from steadfall.plan.model import Io, Plan
from steadfall.plan.read.whole import read_file
from steadfall.source import Mark, Marks, OutsideError, PlanError
from tests.examples import EXAMPLES

PRESS = read_file(EXAMPLES["press"])
HEADINGS = ("Pos", "Tag", "Type", "Terminal", "Address")
COLUMNS = {"signal": "tag", "terminal": "Terminal", "address": "Address", "kind": "Type"}


def good() -> list[list[str]]:
    """A row for each signal, as a drawing office would have it, and one that is not ours."""
    rows, count = [], {"DI": 0, "DO": 0, "AI": 0}
    for number, signal in enumerate(wiring(PRESS)):
        place = count[signal.kind]
        count[signal.kind] += 1
        bit = f"{place // 8}.{place % 8}"
        address = {"DI": f"%IX{bit}", "DO": f"%QX{bit}", "AI": f"%IW{2 * place + 10}"}[signal.kind]
        rows.append([str(number), signal.name, signal.kind, f"X{number}.1", address])
    return [*rows, ["99", "panel_lamp", "DO", "X99.1", "%QX7.7"]]


def read(rows: Sequence[Sequence[str]], folder: Path, name: str = "panel.csv", sep: str = ",") -> Io:
    path = folder / name
    if name.endswith(".xlsx"):
        path.write_bytes(xlsx([Sheet("list", HEADINGS, tuple(tuple(row) for row in rows))]))
    else:
        path.write_text("\n".join(sep.join(row) for row in [HEADINGS, *rows]) + "\n", encoding="utf-8-sig")
    return panel(plan(folder, name))


def plan(folder: Path, name: str) -> Plan:
    own = Mark(str(folder / "plan.yaml"), 1, 1)
    return evolve(PRESS, io=Io(list_file=name, columns=COLUMNS), at=Marks(own))


def problems(rows: Sequence[Sequence[str]], folder: Path) -> list[tuple[int, int, str]]:
    with pytest.raises(PlanError) as caught:
        read(rows, folder)
    return [(problem.mark.line, problem.mark.column, problem.slug) for problem in caught.value.problems]


@pytest.mark.parametrize(("name", "sep"), [("panel.csv", ","), ("panel.csv", ";"), ("panel.xlsx", "")])
def test_a_good_list_is_used(name: str, sep: str, tmp_path: Path) -> None:
    found = read(good(), tmp_path, name, sep)
    assert set(found.terminals) == {signal.name for signal in wiring(PRESS)}
    assert found.terminals["upper.mist"].terminal == "X14.1"
    assert found.terminals["upper.mist"].address == "%QX0.0"
    code = papers(plan(tmp_path, name))["controller.st"].decode()
    assert "upper_mist AT %QX0.0 : BOOL" in code


def test_a_missing_signal_is_told_with_its_near_miss(tmp_path: Path) -> None:
    rows = good()
    rows[0][1] = "gentle_cal"
    with pytest.raises(PlanError, match=r"'gentle_call' is not in the list; row 2 has 'gentle_cal'"):
        read(rows, tmp_path)


def test_a_signal_twice_is_told_at_its_second_row(tmp_path: Path) -> None:
    rows = good()
    assert problems([*rows, ["7", rows[0][1], "DI", "X70.1", "%IX9.0"]], tmp_path) == [
        (len(rows) + 2, 2, "twice")
    ]


def test_a_wrong_kind_is_told_by_column_and_by_address(tmp_path: Path) -> None:
    rows = good()
    rows[0][2] = "Digital Output"
    rows[1][4] = "%QX6.0"
    rows[4][4] = "%IX6.1"  # a temperature at a bit
    assert problems(rows, tmp_path) == [(2, 3, "wrong-kind"), (3, 5, "wrong-kind"), (6, 5, "wrong-kind")]


def test_an_address_twice_is_told_however_it_is_spelled(tmp_path: Path) -> None:
    rows = good()
    rows[1][4] = "%ix0.0"
    rows[2][4] = "%I0.0"
    rows[3][3] = rows[2][3]
    assert problems(rows, tmp_path) == [
        (3, 5, "address-twice"),
        (4, 5, "address-twice"),
        (5, 4, "address-twice"),
    ]


def test_nonsense_is_told(tmp_path: Path) -> None:
    rows = good()
    rows[0][4] = "I 0.0"
    assert problems(rows, tmp_path) == [(2, 5, "address")]


def test_a_column_that_is_not_there_is_told(tmp_path: Path) -> None:
    (tmp_path / "panel.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(PlanError, match="no column 'tag' among a, b"):
        panel(plan(tmp_path, "panel.csv"))


def test_files_that_cannot_be_read_are_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(OutsideError, match=r"cannot read panel\.csv"):
        panel(plan(tmp_path, "panel.csv"))
    (tmp_path / "panel.xlsx").write_bytes(b"PK nonsense")
    with pytest.raises(OutsideError, match=r"cannot read panel\.xlsx"):
        panel(plan(tmp_path, "panel.xlsx"))
    (tmp_path / "panel.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(OutsideError, match="UTF-8"):
        panel(plan(tmp_path, "panel.csv"))


def test_without_a_list_the_plan_is_taken_at_its_word() -> None:
    assert panel(PRESS) is PRESS.io
