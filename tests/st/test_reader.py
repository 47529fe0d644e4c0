"""The reader of structured text: what it reads, what each construct means, what it refuses and where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest

from steadfall.logic.nodes import Value
from steadfall.scan.interpreter import Scanner
from steadfall.source import PlanError
from steadfall.st.read.whole import read_st


def program(body: str, declared: str = "", inputs: str = "a, b : BOOL; n : INT; r : REAL; t : TIME;") -> str:
    outputs = "q, p : BOOL; m : INT; s : REAL; u : TIME;"
    sections = f"VAR_INPUT {inputs} END_VAR\nVAR_OUTPUT {outputs} END_VAR\nVAR {declared} END_VAR"
    return f"PROGRAM x\n{sections}\n{body}\nEND_PROGRAM"


def run(text: str, rows: Sequence[tuple[int, Mapping[str, Value]]], name: str) -> list[Value]:
    one = Scanner(read_st(text, "x.st"))
    return [one.scan(dt, given)[name] for dt, given in rows]


def once(body: str, name: str, declared: str = "", **given: Value) -> Value:
    return run(program(body, declared), [(0, given)], name)[0]


EXPRESSIONS: Mapping[str, tuple[Mapping[str, Value], str, Value]] = {
    "q := a OR b AND NOT a;": ({"a": False, "b": True}, "q", True),
    "q := a XOR b XOR a;": ({"a": True, "b": True}, "q", True),
    "q := a & b;": ({"a": True, "b": True}, "q", True),
    "q := n > 2 = b;": ({"n": 3, "b": True}, "q", True),  # order binds tighter than equality
    "q := NOT a = b;": ({"a": True, "b": False}, "q", True),  # NOT binds tighter still
    "m := 2 + 3 * 4;": ({}, "m", 14),
    "m := (2 + 3) * 4 MOD 7;": ({}, "m", 6),
    "m := -7 / 2;": ({}, "m", -3),  # whole numbers are cut towards zero
    "m := -7 MOD 2;": ({}, "m", -1),
    "m := n - 1 + 10;": ({"n": 5}, "m", 14),
    "m := -n;": ({"n": 5}, "m", -5),
    "s := r * 2.0 - 1;": ({"r": 1.5}, "s", 2.0),
    "s := n;": ({"n": 3}, "s", 3.0),
    "s := ABS(r);": ({"r": -1.5}, "s", 1.5),
    "s := LIMIT(MN := 0.0, IN := r, MX := 10.0);": ({"r": 12.0}, "s", 10.0),
    "s := MAX(r, 3.0, 2.0);": ({"r": 1.0}, "s", 3.0),
    "s := SQRT(MAX(r, 0.0));": ({"r": 2.25}, "s", 1.5),
    "s := SQRT(MAX(r * 1.0, 0.0)) + 1.0;": ({"r": -4.0}, "s", 1.0),
    "s := SQRT(LIMIT(1.0, r, 9.0));": ({"r": 16.0}, "s", 3.0),
    "s := SQRT(2.25);": ({}, "s", 1.5),
    "m := MIN(n, 4);": ({"n": 9}, "m", 4),
    "m := MUX(n, 5, 6, 7);": ({"n": 2}, "m", 7),
    "m := SEL(G := a, IN0 := 1, IN1 := 2);": ({"a": True}, "m", 2),
    "m := BOOL_TO_INT(a) + BOOL_TO_INT(b);": ({"a": True, "b": True}, "m", 2),
    "u := T#1s + T#500ms;": ({}, "u", 1500),
    "u := T#1s * 3;": ({}, "u", 3000),
    "u := MUL_TIME(T#10ms, REAL_TO_DINT(r / 10.0));": ({"r": 25.0}, "u", 20),  # ties to even
    "s := TIME_TO_REAL(t) * (1000.0 / TIME_TO_REAL(T#1s));": ({"t": 70}, "s", 70.0),
    "q := GT(3, n, 1);": ({"n": 2}, "q", True),
    "q := AND(a, b, TRUE);": ({"a": True, "b": False}, "q", False),
    "q := 1; p := 0;": ({}, "q", True),
    "m := 16#1F + 2#1_01 + 8#17;": ({}, "m", 51),
    "m := INT#5 + DINT#16#10;": ({}, "m", 21),
    "s := 1.5E2 + REAL#-0.5;": ({}, "s", 149.5),
    "m := -32768;": ({}, "m", -32_768),
    "q := n > -16#8000;": ({"n": -32_768}, "q", False),
    "q := n < DINT#100_000;": ({"n": 32_767}, "q", True),
    "Q := BOOL#TRUE;": ({}, "q", True),  # capital and small letters are the same
}


@pytest.mark.parametrize("body", EXPRESSIONS)
def test_expressions(body: str) -> None:
    given, name, wanted = EXPRESSIONS[body]
    found = run(program(body), [(0, given)], name)[0]
    assert (type(found), found) == (type(wanted), wanted)


# Ranges of the elementary types: IEC 61131-3, from memory of the standard.
LENGTHS = {
    "SINT": (-128, 127),
    "INT": (-32_768, 32_767),
    "DINT": (-2_147_483_648, 2_147_483_647),
    "USINT": (0, 255),
    "UINT": (0, 65_535),
    "UDINT": (0, 4_294_967_295),
}


@pytest.mark.parametrize("kind", LENGTHS)
def test_an_input_holds_what_its_type_holds(kind: str) -> None:
    low, high = LENGTHS[kind]
    network = read_st(program("q := v > 0;", inputs=f"v : {kind};"), "x.st")
    assert [row.holds for row in network.inputs] == [(low, high)]
    for first in (low, high):
        assert run(program("p := a; m := 0; q := z = z;", f"z : {kind} := {first};"), [(0, {})], "q") == [
            True
        ]
    for first in (low - 1, high + 1):
        with pytest.raises(PlanError, match=f"'z' cannot hold {first}"):
            read_st(program("q := a;", f"z : {kind} := {first};"), "x.st")


def test_a_word_that_nothing_declares_may_have_a_sign_or_not() -> None:
    network = read_st(program("q := %IW0 > %IB7; p := %IX9.1;"), "x.st")
    ends = {row.name: row.holds for row in network.inputs if row.name.startswith("%")}
    assert ends == {"%IW0": (-32_768, 65_535), "%IB7": (-128, 255), "%IX9.1": None}
    declared = read_st(
        program("q := w > 0;").replace("VAR  END_VAR", "VAR w AT %IW0 : UINT; END_VAR"), "x.st"
    )
    assert {row.name: row.holds for row in declared.inputs}["w"] == (0, 65_535)


DURATIONS = {
    "T#5s": 5000,
    "TIME#1h2m3s4ms": 3_723_004,
    "t#1.5s": 1500,
    "T#-2s": -2000,
    "T#1d_12h": 129_600_000,
    "LTIME#90m": 5_400_000,
    "T#1_000ms": 1000,
    "T#0.25h": 900_000,
}


@pytest.mark.parametrize("text", DURATIONS)
def test_durations(text: str) -> None:
    assert once(f"u := {text};", "u") == DURATIONS[text]


def test_branches_and_loops() -> None:
    body = """
    IF a THEN m := 1; ELSIF b THEN m := 2; u := T#1s; ELSE m := 3; END_IF;
    CASE m OF 1: p := TRUE; 2, 4..6: p := FALSE; ELSE p := b; END_CASE;
    s := 0.0;
    FOR i := 1 TO 5 BY 2 DO s := s + 10.0 * i; END_FOR;
    FOR i := 3 TO 1 BY -1 DO q := i = 1; END_FOR;
    """
    rows: list[tuple[int, dict[str, Value]]] = [
        (10, {"a": True}),
        (10, {"a": False, "b": True}),
        (10, {"b": False}),
    ]
    text = program(body, "i : INT;")
    assert run(text, rows, "m") == [1, 2, 3]
    assert run(text, rows, "p") == [True, False, False]
    assert run(text, rows, "u") == [0, 1000, 1000]  # what a branch does not write stays
    assert run(text, rows, "s") == [90.0] * 3
    assert run(text, rows, "q") == [True] * 3


def test_comments_of_every_kind() -> None:
    body = "q := (* one (* within *) another *) TRUE; // p := TRUE;\n/* m := 9; */ m := 1;"
    assert once(body, "q") is True
    assert once(body, "m") == 1
    assert once(body, "p") is False


def test_first_values_constants_and_retained_variables() -> None:
    text = """
    VAR_GLOBAL CONSTANT ten : INT := 10; END_VAR
    PROGRAM x
    VAR_OUTPUT m, k : INT := 3; END_VAR
    VAR RETAIN c : INT := ten * 2; END_VAR
    VAR_EXTERNAL CONSTANT ten : INT; END_VAR
    VAR_TEMP fresh : INT := 1; END_VAR
    c := c + 1; m := c; fresh := fresh + 1; k := fresh + ten;
    END_PROGRAM"""
    assert run(text, [(10, {})] * 3, "m") == [21, 22, 23]
    assert run(text, [(10, {})] * 3, "k") == [12, 12, 12]


def test_blocks_within_blocks_keep_their_own_state() -> None:
    text = """
    FUNCTION_BLOCK inner VAR_INPUT up : BOOL; END_VAR VAR_OUTPUT n : INT; END_VAR
    IF up THEN n := n + 1; END_IF; END_FUNCTION_BLOCK
    FUNCTION_BLOCK outer VAR_INPUT a : BOOL; END_VAR VAR_OUTPUT n : INT; END_VAR VAR one, two : inner; END_VAR
    one(up := a); two(up := NOT a); two(up := NOT a, n => n); END_FUNCTION_BLOCK
    PROGRAM x VAR_INPUT a : BOOL; END_VAR VAR_OUTPUT m, k : INT; END_VAR VAR f, g : outer; END_VAR
    f(a); g(a := TRUE); m := f.n; k := g.n; END_PROGRAM"""
    rows: list[tuple[int, dict[str, Value]]] = [(10, {"a": False}), (10, {"a": True}), (10, {"a": False})]
    assert run(text, rows, "m") == [2, 2, 4]
    assert run(text, rows, "k") == [0, 0, 0]


# A timer in the three ways of calling it; PT 30 ms, a scan each 10 ms (IEC 61131-3, timing diagram of TON).
IN = [0, 1, 1, 1, 1, 1, 0, 1, 0]
Q = [0, 0, 0, 0, 1, 1, 0, 0, 0]
ET = [0, 0, 10, 20, 30, 30, 0, 0, 0]
WAYS = {
    "once": "d(IN := a, PT := T#30ms); q := d.Q; u := d.ET;",
    "twice": "d(IN := a, PT := T#30ms); d(IN := a); q := d.Q; u := d.ET;",
    "in a branch": "IF a THEN d(IN := TRUE, PT := T#30ms); ELSE d(IN := FALSE); END_IF; q := d.Q; u := d.ET;",
    "by its inputs": "d.PT := T#30ms; d.IN := a; d(); q := d.Q; u := d.ET;",
    "read first": "d(IN := a, PT := T#30ms, Q => q, ET => u);",
}


@pytest.mark.parametrize("way", WAYS)
def test_an_on_delay_however_it_is_called(way: str) -> None:
    text = program(WAYS[way], "d : TON;")
    rows: list[tuple[int, dict[str, Value]]] = [(10, {"a": bool(value)}) for value in IN]
    assert run(text, rows, "q") == [bool(value) for value in Q]
    assert run(text, rows, "u") == ET


def test_a_timer_that_is_not_called_keeps_what_it_shows_and_its_time_goes_on() -> None:
    text = program(
        "IF b THEN d(IN := TRUE, PT := T#50ms); END_IF; u := d.ET; q := d.Q;", "d : TON := (PT := T#1s);"
    )
    rows: list[tuple[int, dict[str, Value]]] = [
        (10, {"b": value}) for value in (True, True, False, False, True, True)
    ]
    assert run(text, rows, "u") == [0, 10, 10, 10, 40, 50]


def test_reset_and_start_in_one_scan() -> None:
    text = program("d(IN := TRUE, PT := T#1s); u := d.ET; d(IN := NOT a); d(IN := TRUE);", "d : TON;")
    rows: list[tuple[int, dict[str, Value]]] = [
        (10, {"a": value}) for value in (False, False, True, False, False)
    ]
    assert run(text, rows, "u") == [0, 10, 20, 10, 20]


def test_edges_and_latches_at_power_up() -> None:
    text = program("e(CLK := a); f(CLK := b); q := e.Q; p := f.Q;", "e : R_TRIG; f : F_TRIG;")
    rows: list[tuple[int, dict[str, Value]]] = [(0, {"a": True, "b": False}), (10, {})]
    assert run(text, rows, "q") == [True, False]
    assert run(text, rows, "p") == [True, False]
    text = program("e(S1 := a, R := b); f(S := a, R1 := b); q := e.Q1; p := f.Q1;", "e : SR; f : RS;")
    rows = [(0, {"a": True, "b": True}), (10, {"a": False, "b": False})]
    assert run(text, rows, "q") == [True, True]
    assert run(text, rows, "p") == [False, False]


def test_names_and_addresses_are_mapped() -> None:
    text = "PROGRAM x VAR in1 AT %IX0.1 : BOOL; END_VAR %QX1.0 := in1 AND %IX0.2; END_PROGRAM"
    network = read_st(text, "x.st", {"IN1": "upper.air", "%ix0.2": "call", "%QX1.0": "upper.mist"})
    assert [row.name for row in network.inputs] == ["upper.air", "call"]
    assert network.outputs == ("upper.mist",)


REFUSED = {
    "WHILE a DO q := TRUE; END_WHILE;": ("5:1", "a loop without constant bounds"),
    "RETURN;": ("5:1", "a jump out of a unit"),
    "q := a +;": ("5:9", "';' does not fit here"),
    "q := c;": ("5:6", "'c' is not declared here"),
    "q := n;": ("5:6", "a INT stands where a BOOL is wanted"),
    "a := TRUE;": ("5:1", "'a' is an input and is assigned"),
    "FOR i := 1 TO n DO q := TRUE; END_FOR;": ("5:15", "a number that is not constant"),
    "FOR i := 1 TO 30000 DO FOR j := 1 TO 30000 DO q := a; END_FOR; END_FOR;": (
        "",
        "more than 40000 statements",
    ),
    "m := 40000;": ("5:1", "'m' cannot hold 40000; expected a whole number from -32768 to 32767"),
    "m := -32769;": ("5:1", "'m' cannot hold -32769"),
    "FOR m := 32750 TO 32767 DO q := a; END_FOR;": ("5:1", "'m' cannot hold 32768"),  # it would never end
    "q := n > SINT#128;": ("5:10", "a number from -128 to 127"),
    "q := n > 16#FFFF_FFFF_FFFF_FFFF;": ("", "is not a INT"),
    "u := T#1s1h;": ("5:6", "each unit once"),
    "u := T#1us;": ("5:6", "whole milliseconds"),
    "s := r / n;": ("5:6", "this division"),
    "s := r / 3.0;": ("5:6", "a changing value is divided"),
    "s := 1.0 / 0.0;": ("5:6", "a division by zero"),
    "s := SQRT(r);": ("5:6", "a value that may be below 0; expected one that is kept at 0 or above"),
    "s := SQRT(MAX(0.0, r));": ("5:6", "a value that may be below 0"),  # where r is no number
    "m := n * n;": ("5:6", "a product of changing whole numbers"),
    "m := n MOD 3;": ("5:6", "MOD of a changing value"),
    "s := SIN(r);": ("5:6", "'SIN' is no function"),
    "q := 'text' = 'text';": ("5:6", "a text is outside"),
    "x(1);": ("5:1", "'x' is no function block"),
    "d(IM := a);": ("5:3", "d has no input 'im'; expected in or pt"),
    "d(IN := a, IN := b);": ("5:12", "'in' is given twice"),
    "d(a, T#1s, b);": ("5:1", "d with 3 arguments"),
    "d(a, PT := T#1s);": ("5:1", "arguments by name and by place"),
    "IF a THEN o(IN := a, PT := T#1s); END_IF;": ("5:11", "under a condition"),
    "d(IN := a, PT := t); d(IN := b);": ("5:22", "a changing preset"),
    "q := a[1];": ("5:7", "an array"),
    "{pragma} q := a;": ("5:1", "a directive of one environment"),
    "CASE r OF 1: q := a; END_CASE;": ("5:1", "CASE needs a whole number"),
    "CASE n OF q := a; END_CASE;": ("5:11", "a statement before the first number"),
    "CASE n OF 1..3: q := a; 2: q := b; END_CASE;": ("5:25", "a number that stands in this CASE twice"),
    "CASE n OF 4, 2: q := a; 5, 1..2: q := b; END_CASE;": ("5:28", "a number that stands in this CASE twice"),
    "CASE n OF 3..1: q := a; END_CASE;": ("5:11", "a range that holds no number"),
    "q := a (* never ended": ("5:8", "a comment without an end"),
    "q := %ID5 > 3;": ("5:6", "the type of '%ID5' is not known"),
    "IF a THEN q := b;": ("6:", "does not fit here"),
}


@pytest.mark.parametrize("body", REFUSED)
def test_what_lies_outside_is_told_with_its_place(body: str) -> None:
    place, read = REFUSED[body]
    text = program(body, "i, j : INT; d : TON; o : TOF;")
    with pytest.raises(PlanError) as caught:
        read_st(text, "x.st")
    told = [problem.sentence() for problem in caught.value.problems]
    assert any(one.startswith(f"x.st:{place}") and read in one for one in told), told


DECLARED = {
    "VAR_IN_OUT z : BOOL; END_VAR": "VAR_IN_OUT is not read",
    "VAR z : WSTRING; END_VAR": "'WSTRING' is no type",
    "VAR z : TOM; END_VAR": "did you mean 'TON'?",
    "VAR z, z : BOOL; END_VAR": "'z' is declared twice",
    "VAR z : INT := k; END_VAR": "'k' is not declared here",
    "VAR z : ARRAY [1..2] OF INT; END_VAR": "an array is outside",
    "VAR z : TON := 5; END_VAR": "a block has no value",
    "VAR z : USINT := -1; END_VAR": "'z' cannot hold -1; expected a whole number from 0 to 255",
    "VAR CONSTANT z : UINT := 65_536; END_VAR": "'z' cannot hold 65536",
}


@pytest.mark.parametrize("declared", DECLARED)
def test_declarations_that_are_not_read(declared: str) -> None:
    text = f"PROGRAM x VAR_OUTPUT q : BOOL; END_VAR {declared} q := TRUE; END_PROGRAM"
    with pytest.raises(PlanError, match=r"x\.st:1:\d+") as caught:
        read_st(text, "x.st")
    assert DECLARED[declared] in str(caught.value)


def test_every_problem_is_told_in_one_run() -> None:
    with pytest.raises(PlanError) as caught:
        read_st(program("q := c;\nm := 1.5;\nIF n THEN p := d; END_IF;"), "x.st")
    assert [problem.mark.line for problem in caught.value.problems] == [5, 6, 7]


UNITS = {
    "": "no program",
    "PROGRAM a q := 1; END_PROGRAM PROGRAM b END_PROGRAM": "2 programs",
    "PROGRAM a VAR x : BOOL; END_VAR x := TRUE; END_PROGRAM": "no outputs",
    (
        "FUNCTION_BLOCK f VAR g : f; END_VAR END_FUNCTION_BLOCK PROGRAM p VAR h : f; END_VAR END_PROGRAM"
    ): "without an end",
    (
        "FUNCTION f : INT f := f(); END_FUNCTION PROGRAM p VAR_OUTPUT m : INT; END_VAR m := f(); END_PROGRAM"
    ): "itself",
    f"PROGRAM p VAR_OUTPUT m : BOOL; END_VAR m := {'NOT ' * 500}m; END_PROGRAM": "levels within each other",
}


@pytest.mark.parametrize("text", UNITS, ids=UNITS.values())
def test_units_that_cannot_be(text: str) -> None:
    with pytest.raises(PlanError, match=UNITS[text]):
        read_st(text, "x.st")


def test_brackets_may_be_many() -> None:
    assert once(f"m := {'(' * 500}1{')' * 500};", "m") == 1


def test_a_map_to_nothing_is_told() -> None:
    with pytest.raises(PlanError, match="'qq' is no variable; did you mean 'q'"):
        read_st(program("q := a;"), "x.st", {"qq": "upper.mist"})


def test_the_numbers_of_a_case_count_like_statements() -> None:
    """A thousand turns of a loop over forty-two numbers are more than a controller would do in a scan."""
    numbers = ", ".join(str(number) for number in range(42))
    case = f"CASE n OF {numbers}: q := a; END_CASE;"
    assert run(program(case), [(0, {"n": 41, "a": True}), (20, {"n": 42, "a": False})], "q") == [True, True]
    with pytest.raises(PlanError, match="more than 40000 statements in a scan, loops unrolled"):
        read_st(program(f"FOR i := 1 TO 1000 DO {case} END_FOR;", "i : INT;"), "x.st")
