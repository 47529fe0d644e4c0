"""Programs that mean something: random statements whose types fit, over one set of variables."""

from __future__ import annotations

from hypothesis import strategies as st

HEAD = """
FUNCTION f : INT VAR_INPUT x, y : INT; END_VAR f := x + y; END_FUNCTION
FUNCTION_BLOCK G VAR_INPUT IN : BOOL; PT : TIME; END_VAR VAR_OUTPUT Q : BOOL; n : INT; END_VAR
IF IN THEN n := n + 1; END_IF; Q := IN AND PT > T#10ms; END_FUNCTION_BLOCK
PROGRAM x
VAR_INPUT a, b : BOOL; n : INT; r : REAL; t : TIME; END_VAR
VAR_OUTPUT q, p : BOOL; m, k : INT; s : REAL; u : TIME; END_VAR
VAR d, d2 : TON; o : TOF; e : R_TRIG; l : SR; g : G; i, j : INT; END_VAR
"""

Text = st.SearchStrategy[str]


def _bools(depth: int) -> Text:
    leaf = st.sampled_from(["a", "b", "q", "p", "d.Q", "d2.Q", "o.Q", "e.Q", "l.Q1", "g.Q", "TRUE", "FALSE"])
    if depth == 0:
        return leaf
    inner, ops = _bools(depth - 1), st.sampled_from(["<", "<=", "=", "<>", ">", ">="])
    pairs = [st.tuples(kind, ops, kind) for kind in (_ints(depth - 1), _reals(depth - 1), _times(depth - 1))]
    return st.one_of(
        leaf,
        st.tuples(inner, st.sampled_from(["AND", "OR", "XOR", "&", "=", "<>"]), inner)
        .map(" ".join)
        .map("({})".format),
        inner.map("NOT {}".format),
        st.one_of(*pairs).map(" ".join).map("({})".format),
        st.tuples(inner, inner, inner).map(lambda p: f"SEL({p[0]}, {p[1]}, {p[2]})"),
    )


def _ints(depth: int) -> Text:
    leaf = st.sampled_from(["n", "m", "k", "g.n", "0", "1", "-2", "7", "16#1F"])
    if depth == 0:
        return leaf
    inner = _ints(depth - 1)
    return st.one_of(
        leaf,
        st.tuples(inner, st.sampled_from("+-"), inner).map(" ".join).map("({})".format),
        st.tuples(inner, inner).map(lambda p: f"f({p[0]}, {p[1]})"),
        st.tuples(inner, inner, inner).map(lambda p: f"MUX({p[0]}, {p[1]}, {p[2]})"),
        st.tuples(inner, inner).map(lambda p: f"MAX({p[0]}, {p[1]})"),
    )


def _reals(depth: int) -> Text:
    leaf = st.sampled_from(["r", "s", "0.0", "1.5", "-2.0E1", "100.0"])
    if depth == 0:
        return leaf
    inner = _reals(depth - 1)
    return st.one_of(
        leaf,
        st.tuples(inner, st.sampled_from("+-*"), inner).map(" ".join).map("({})".format),
        _ints(depth - 1).map("INT_TO_REAL({})".format),
        _times(depth - 1).map("TIME_TO_REAL({})".format),
        st.tuples(inner, inner, inner).map(lambda p: f"LIMIT({p[0]}, {p[1]}, {p[2]})"),
    )


def _times(depth: int) -> Text:
    leaf = st.sampled_from(["t", "u", "d.ET", "d2.ET", "T#0s", "T#30ms", "T#1s_5ms"])
    if depth == 0:
        return leaf
    inner = _times(depth - 1)
    return st.one_of(
        leaf,
        st.tuples(inner, st.sampled_from("+-"), inner).map(" ".join).map("({})".format),
        _reals(depth - 1).map(lambda p: f"MUL_TIME(T#10ms, REAL_TO_DINT({p} / 10.0))"),
    )


BOOLS, INTS, REALS, TIMES = _bools(2), _ints(2), _reals(2), _times(2)
TARGETS = ((("q", "p"), BOOLS), (("m", "k"), INTS), (("s",), REALS), (("u",), TIMES))
ASSIGNMENTS = st.one_of(
    *(st.tuples(st.sampled_from(names), kind).map(lambda p: f"{p[0]} := {p[1]};") for names, kind in TARGETS)
)
CALLS = st.one_of(
    BOOLS.map("d(IN := {}, PT := T#30ms);".format),
    BOOLS.map("e(CLK := {});".format),
    st.tuples(BOOLS, BOOLS).map(lambda p: f"l(S1 := {p[0]}, R := {p[1]});"),
    st.tuples(BOOLS, TIMES).map(lambda p: f"g({p[0]}, {p[1]}, Q => p);".replace(", Q => p", "")),
)
STATEMENTS = st.recursive(
    st.one_of(ASSIGNMENTS, ASSIGNMENTS, CALLS),
    lambda inner: st.one_of(
        st.tuples(BOOLS, inner, BOOLS, inner).map(
            lambda p: f"IF {p[0]} THEN {p[1]} ELSIF {p[2]} THEN {p[3]} END_IF;"
        ),
        st.tuples(INTS, inner, inner, inner).map(
            lambda p: f"CASE {p[0]} OF 1, 3..4: {p[1]} -2: {p[2]} ELSE {p[3]} END_CASE;"
        ),
        st.tuples(st.integers(0, 3), inner).map(lambda p: f"FOR i := 0 TO {p[0]} DO {p[1]} END_FOR;"),
        st.lists(inner, min_size=2, max_size=4).map("\n".join),
    ),
    max_leaves=8,
)
PROGRAMS = st.tuples(st.lists(STATEMENTS, min_size=1, max_size=5).map("\n".join), BOOLS, TIMES).map(
    lambda p: f"{HEAD}{p[0]}\no(IN := {p[1]}, PT := T#50ms);\nd2({p[1]}, {p[2]});\nEND_PROGRAM"
)
