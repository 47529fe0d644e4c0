"""Which variable a name means, and what a loop keeps."""

from __future__ import annotations

import pytest

from steadfall.scan.interpreter import Scanner
from steadfall.source import PlanError
from steadfall.st.read.whole import read_st

HEAD = """VAR_GLOBAL i, k, g : INT; END_VAR
FUNCTION twice : INT VAR_EXTERNAL i : INT; END_VAR twice := i + i; END_FUNCTION
FUNCTION_BLOCK sees VAR_EXTERNAL i : INT; END_VAR VAR_OUTPUT sum : INT; END_VAR sum := sum + i;
END_FUNCTION_BLOCK
FUNCTION_BLOCK steps VAR_EXTERNAL i, k : INT; END_VAR VAR_INPUT on : BOOL; END_VAR VAR_OUTPUT n : INT; END_VAR
IF on THEN i := i + 1; k := k + 1; END_IF; n := n + 1; END_FUNCTION_BLOCK
"""
EXTERNAL = "VAR_EXTERNAL i, k, g : INT; END_VAR"


def text(body: str, declared: str = "", head: str = HEAD) -> str:
    sections = f"VAR_INPUT a : BOOL; END_VAR VAR_OUTPUT m, n : INT; END_VAR {declared}"
    return f"{head}PROGRAM x {EXTERNAL} {sections}\n{body}\nEND_PROGRAM"


def shown(said: str, name: str = "m", scans: int = 1) -> list[int]:
    one = Scanner(read_st(said, "x.st"))
    return [int(one.scan(10, {})[name]) for _ in range(scans)]


def test_what_is_called_in_a_loop_sees_its_counter() -> None:
    said = text("FOR i := 1 TO 4 DO s(); m := s.sum; n := twice(); END_FOR;", "VAR s : sees; END_VAR")
    assert shown(said, "m", 2) == [10, 20]
    assert shown(said, "n") == [8]


def test_a_counter_stands_one_step_past_the_last_turn() -> None:
    assert shown(text("FOR i := 1 TO 6 BY 2 DO n := i; END_FOR; m := i;")) == [7]
    assert shown(text("FOR i := 3 TO 1 DO n := i; END_FOR; m := i;")) == [3]


LOOPS = {
    "FOR i := 1 TO 4 DO s(on := a); END_FOR;": "the counter of a loop is assigned within it",
    "FOR i := 1 TO 4 DO i := 2; END_FOR;": "the counter of a loop is assigned within it",
    "FOR i := 1 TO 4 DO FOR i := 1 TO 2 DO m := i; END_FOR; END_FOR;": "the counter of a loop is assigned",
    "k := 3; FOR i := 1 TO k DO k := 5; END_FOR;": "'k' bounds a loop and is assigned within it",
    "k := 3; FOR i := 1 TO k + 1 DO IF a THEN k := 5; END_IF; END_FOR;": "'k' bounds a loop",
    "k := 3; FOR g := 1 TO k DO s(on := a); END_FOR;": "'k' bounds a loop",
    "k := 3; FOR g := k TO 4 DO k := 1; END_FOR;": "'k' bounds a loop",
    "i := 3; FOR g := 1 TO twice() DO i := 5; END_FOR;": "'i' bounds a loop",
    "i := 3; FOR i := 1 TO i DO m := i; END_FOR;": "the counter of a loop bounds it",
    "FOR c := -1 TO 3 DO m := c; END_FOR;": "'c' cannot hold -1",
}


@pytest.mark.parametrize("body", LOOPS)
def test_a_loop_that_would_change_what_it_runs_by_is_refused(body: str) -> None:
    with pytest.raises(PlanError, match=r"x\.st:\d+:\d+") as caught:
        read_st(text(body, "VAR s : steps; c : USINT; END_VAR"), "x.st")
    assert LOOPS[body] in str(caught.value)


def test_a_bound_may_be_assigned_before_and_after_its_loop() -> None:
    loop = "FOR i := 1 TO k DO n := n + 1; END_FOR;"
    assert shown(text(f"k := 2; {loop} k := 3; {loop} m := n;")) == [5]


def test_a_function_may_be_called_by_a_bound_and_in_the_loop() -> None:
    assert shown(text("i := 0; FOR k := 1 TO twice() + 2 DO m := m + twice() + k; END_FOR;")) == [3]


CHANGES = {
    "IF a THEN q := TRUE; ELSIF g(TRUE) THEN p := TRUE; END_IF;": "c := c + 1; g := x;",
    "q := a AND g(TRUE);": "FOR c := 1 TO 3 DO ; END_FOR; g := x;",
    "q := a OR g(TRUE);": "%MX0.0 := x; g := x;",
    "p := g(a) AND NOT h(a);": "h1(CLK := x, Q => g);",
}


@pytest.mark.parametrize("body", CHANGES)
def test_a_function_changes_nothing_but_its_own(body: str) -> None:
    """Whether it is worked out at all where its value is not needed is the maker's choice."""
    said = f"""VAR_GLOBAL c : INT; h1 : R_TRIG; END_VAR
    FUNCTION g : BOOL VAR_EXTERNAL c : INT; h1 : R_TRIG; END_VAR VAR_INPUT x : BOOL; END_VAR {CHANGES[body]}
    END_FUNCTION
    FUNCTION h : BOOL VAR_INPUT x : BOOL; END_VAR VAR i : INT; END_VAR FOR i := 1 TO 2 DO h := x; END_FOR;
    END_FUNCTION
    PROGRAM x VAR_INPUT a : BOOL; END_VAR VAR_OUTPUT q, p : BOOL; END_VAR q := h(a); {body} END_PROGRAM"""
    with pytest.raises(PlanError, match=r"x\.st:2:\d+: .*a function changes '.*', which is not its own"):
        read_st(said, "x.st")


GLOBAL = "VAR_GLOBAL z : INT; END_VAR"
BLOCK = "FUNCTION_BLOCK f {} VAR_OUTPUT o : BOOL; END_VAR {} o := z > 0; END_FUNCTION_BLOCK"
USES = "VAR f1 : f; END_VAR"
# what stands before the program, its declarations, its body, what is told
DECLARED = [
    (GLOBAL, "VAR z : INT; END_VAR", "q := z = 0;", "'z' is declared here and as a global variable"),
    (GLOBAL, "VAR_OUTPUT z : INT; END_VAR", "z := 1;", "'z' is declared here and as a global variable"),
    (GLOBAL, "VAR_EXTERNAL z : BOOL; END_VAR", "q := z;", "'z' is BOOL here and INT in line 1"),
    ("", "VAR_EXTERNAL z : INT; END_VAR", "q := z = 0;", "'z' is external, and no VAR_GLOBAL here"),
    (
        BLOCK.format("VAR_EXTERNAL z : INT; END_VAR", ""),
        f"VAR z : INT; END_VAR {USES}",
        "f1();",
        "'z' is external",
    ),
    (BLOCK.format("", ""), f"VAR z : INT; END_VAR {USES}", "f1(); q := f1.o;", "'z' is not declared here"),
    (
        "FUNCTION f : INT f := z; END_FUNCTION",
        "VAR z : INT; END_VAR",
        "q := f() > 0;",
        "'z' is not declared here",
    ),
    (
        BLOCK.format("VAR z : INT; END_VAR", "e(CLK := TRUE);"),
        f"VAR e : R_TRIG; END_VAR {USES}",
        "f1();",
        "'e' is no function block that is declared here",
    ),
]


@pytest.mark.parametrize(("before", "declared", "body", "told"), DECLARED)
def test_a_name_means_one_variable(before: str, declared: str, body: str, told: str) -> None:
    said = f"{before} PROGRAM x VAR_OUTPUT q : BOOL; END_VAR {declared} {body} END_PROGRAM"
    with pytest.raises(PlanError, match=r"x\.st:1:\d+") as caught:
        read_st(said, "x.st")
    assert told in str(caught.value)


def test_a_blocks_own_variable_hides_a_global_one() -> None:
    said = """VAR_GLOBAL z : INT := 70; END_VAR
    FUNCTION_BLOCK f VAR z : INT; END_VAR VAR_OUTPUT o : INT; END_VAR z := z + 1; o := z;
    END_FUNCTION_BLOCK
    FUNCTION h : INT VAR z : INT := 300; END_VAR h := z; END_FUNCTION
    PROGRAM x VAR f1 : f; END_VAR VAR_OUTPUT m : INT; END_VAR f1(); m := h() + z + f1.o;
    END_PROGRAM"""
    assert shown(said, "m", 2) == [371, 372]
