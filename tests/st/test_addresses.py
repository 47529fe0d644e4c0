"""Direct addresses: one place is one variable, however it is spelled."""

from __future__ import annotations

import pytest

from steadfall.scan.interpreter import Scanner
from steadfall.source import PlanError
from steadfall.st.read.whole import read_st

SPELLINGS = [("%Q0.0", "%QX0.0"), ("%QX0.1", "%qx0.01"), ("%MX0.0", "%M00.0"), ("%MW7", "%mw007")]


@pytest.mark.parametrize(("one", "other"), SPELLINGS)
def test_two_spellings_are_one_place(one: str, other: str) -> None:
    value, first = ("5", "0") if "W" in one else ("TRUE", "FALSE")
    said = f"PROGRAM x VAR_OUTPUT q : BOOL; END_VAR q := {other} = {value}; {one} := {value}; END_PROGRAM"
    run = Scanner(read_st(said, "x.st"))
    assert [run.scan(10, {})["q"] for _ in range(2)] == [False, True]
    declared = (
        f"PROGRAM x VAR v AT {one} : {'INT' if 'W' in one else 'BOOL'}; END_VAR VAR_OUTPUT q : BOOL; END_VAR"
    )
    run = Scanner(read_st(f"{declared} {other} := {value}; q := v <> {first}; END_PROGRAM", "x.st"))
    assert run.scan(10, {})["q"] is True


def test_two_spellings_of_an_input_are_one_input() -> None:
    network = read_st("PROGRAM x %QX0.0 := %IX0.1 AND %I0.01; END_PROGRAM", "x.st", {"%i00.1": "call"})
    assert [row.name for row in network.inputs] == ["call"]


def test_a_map_may_name_a_declared_variable_by_its_address() -> None:
    said = "PROGRAM x VAR y AT %QX0.0 : BOOL; END_VAR y := TRUE; END_PROGRAM"
    assert read_st(said, "x.st", {"%Q0.0": "upper.mist"}).outputs == ("upper.mist",)
    with pytest.raises(PlanError, match=r"'%Q0\.0' is 'b' and 'a'"):
        read_st(said, "x.st", {"Y": "a", "%Q0.0": "b"})


def refused(body: str, declared: str = "") -> str:
    with pytest.raises(PlanError, match=r"x\.st:2:\d+") as caught:
        read_st(f"PROGRAM x VAR_OUTPUT q : BOOL; m : INT; END_VAR {declared}\n{body} END_PROGRAM", "x.st")
    return str(caught.value)


MEETING = [  # words counted in bytes, or in words
    ("%MX0.0", "%MW0"),
    ("%MX1.7", "%MW0"),
    ("%MX3.0", "%MW1"),
    ("%MX2.0", "%MW1"),
    ("%MX0.15", "%MB1"),
    ("%MB1", "%MW0"),
    ("%MX5", "%MX0.5"),
    ("%MX1.2.3", "%MW1.2"),
]


@pytest.mark.parametrize(("one", "other"), MEETING)
def test_places_that_may_be_one_are_refused(one: str, other: str) -> None:
    uses = {"X": "{} := TRUE;", "B": "{} := 1;", "W": "{} := 1;"}
    parts = [uses[address[2]].format(address) for address in (one, other)]
    assert f"'{other}' may share its place with '{one}' in line 2" in refused(" ".join(parts))
    assert f"'{one}' may share its place with '{other}'" in refused(" ".join(reversed(parts)))


def test_two_variables_at_one_place_are_refused() -> None:
    said = "PROGRAM x VAR v AT %QX0.0 : BOOL; END_VAR\nVAR w AT %Q0.0 : BOOL; END_VAR v := w; END_PROGRAM"
    with pytest.raises(PlanError, match=r"x\.st:2:\d+.*'%QX0\.0' stands for two variables: also '%QX0\.0'"):
        read_st(said, "x.st")


APART = ["%MW0 := 1; %MW1 := 2;", "%MX0.0 := q; %QW0 := 3;", "%MX0.0 := q; %MW2 := 1;"]


@pytest.mark.parametrize("body", APART)
def test_places_that_are_apart_are_read(body: str) -> None:
    assert read_st(f"PROGRAM x VAR_OUTPUT q : BOOL; END_VAR q := TRUE; {body} END_PROGRAM", "x.st").outputs


def test_an_endless_address_is_refused() -> None:
    assert "an address beyond any controller" in refused(f"q := %IX{'9' * 6000};")
