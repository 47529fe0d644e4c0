"""The reader under fire: programs from the grammar, and good programs with damage. Only PlanError, never a
hang.
"""

from __future__ import annotations

from pathlib import Path

from hypothesis import Phase, given, seed, settings
from hypothesis import strategies as st

from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.scan.interpreter import Scanner
from steadfall.source import PlanError, Problem
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import structured_text
from tests.logic.networks import TRACES
from tests.scan.agreement import assert_agree
from tests.st.test_text import PRESS
from tests.st.typed import BOOLS, HEAD, PROGRAMS, STATEMENTS

HERE = Path(__file__).parent / "foreign"
GOOD = [path.read_text(encoding="ascii") for path in sorted(HERE.glob("*/*.st"))] + [
    structured_text(PRESS).text
]

NAMES = st.sampled_from(
    ["a", "b", "n", "r", "t", "q", "m", "s", "u", "d", "i", "d.Q", "d.ET", "e.Q", "%IX0.0", "zz"]
)
LITERALS = st.sampled_from(
    [
        "TRUE",
        "0",
        "1",
        "7",
        "32767",
        "99999",
        "1.5",
        "0.0",
        "1.0E300",
        "T#0s",
        "T#30ms",
        "T#-1s",
        "16#FF",
        "INT#3",
        "'x'",
    ]
)
OPERATORS = st.sampled_from(
    ["AND", "OR", "XOR", "&", "+", "-", "*", "/", "MOD", "<", "<=", "=", "<>", ">=", ">", "**"]
)
FUNCTIONS = st.sampled_from(
    ["SEL", "MUX", "LIMIT", "MAX", "MIN", "ABS", "NOT", "REAL_TO_DINT", "MUL_TIME", "f", "GT"]
)
ATOMS = st.one_of(NAMES, LITERALS)
EXPRESSIONS = st.recursive(
    ATOMS,
    lambda inner: st.one_of(
        st.tuples(inner, OPERATORS, inner).map(lambda p: f"({p[0]} {p[1]} {p[2]})"),
        inner.map(lambda p: f"NOT {p}"),
        inner.map(lambda p: f"-{p}"),
        st.tuples(FUNCTIONS, st.lists(inner, max_size=4)).map(lambda p: f"{p[0]}({', '.join(p[1])})"),
    ),
    max_leaves=8,
)
CALLS = st.tuples(st.sampled_from(["d", "e", "o", "g"]), EXPRESSIONS, EXPRESSIONS).map(
    lambda p: f"{p[0]}({'CLK' if p[0] == 'e' else 'IN'} := {p[1]}{'' if p[0] == 'e' else f', PT := {p[2]}'});"
)
SIMPLE = st.one_of(
    st.tuples(NAMES, EXPRESSIONS).map(lambda p: f"{p[0]} := {p[1]};"), CALLS, st.just(";"), st.just("EXIT;")
)
WILD = st.recursive(
    SIMPLE,
    lambda inner: st.one_of(
        st.tuples(EXPRESSIONS, inner, inner).map(lambda p: f"IF {p[0]} THEN {p[1]} ELSE {p[2]} END_IF;"),
        st.tuples(EXPRESSIONS, inner, inner).map(
            lambda p: f"CASE {p[0]} OF 1, 3..4: {p[1]} 2: {p[2]} END_CASE;"
        ),
        st.tuples(LITERALS, LITERALS, inner).map(lambda p: f"FOR i := {p[0]} TO {p[1]} DO {p[2]} END_FOR;"),
        st.lists(inner, min_size=1, max_size=4).map(" ".join),
    ),
    max_leaves=8,
)
# What fits: of every kind of statement some of which nothing is wrong, in ways that `typed` does not write.
PLAIN = st.one_of(
    st.sampled_from([";", "q := %IX0.0;", "m := INT#3; ;", "u := T#0s;", "(* no *) p := p; // more"]),
    st.tuples(st.integers(1, 3), STATEMENTS).map(
        lambda p: f"FOR j := {p[0]} TO 0 BY -1 DO m := j; {p[1]} END_FOR;"
    ),
    st.tuples(BOOLS, BOOLS, STATEMENTS).map(lambda p: f"IF NOT({p[0]}) & {p[1]} THEN {p[2]} ELSE ; END_IF;"),
)
WILD_IN = 4  # of so many programs there is something wild in one


@st.composite
def bodies(draw: st.DrawFn) -> str:
    """Statements that fit; in some programs a wild one among them, of which nearly all are refused."""
    rows = draw(st.lists(st.one_of(STATEMENTS, STATEMENTS, PLAIN), min_size=1, max_size=6))
    rows.append(draw(st.one_of(st.just(""), BOOLS.map("o(IN := {}, PT := T#1m20s, Q => q);".format))))
    if draw(st.integers(1, WILD_IN)) == WILD_IN:
        rows.insert(draw(st.integers(0, len(rows))), draw(WILD))
    return "\n".join(rows)


def attempt(text: str) -> Network | None:
    """Reads a text; anything but a network or PlanError escapes."""
    problems: tuple[Problem, ...] = ()
    try:
        network = read_st(text, "fuzz.st")
    except PlanError as error:
        network, problems = None, error.problems
    assert network is not None or problems
    assert all(problem.mark.line >= 1 and problem.read for problem in problems)
    return network


@settings(max_examples=120, deadline=None)
@given(PROGRAMS, TRACES)
def test_programs_whose_types_fit(text: str, rows: list[tuple[int, dict[str, Value]]]) -> None:
    network = attempt(text)
    if (
        network is not None
    ):  # a sum may still leave what an INT holds; all others are read, and run alike on both scans
        names = {"in_bool": "a", "in_int": "n", "in_real": "r", "in_time": "t"}
        assert_agree(network, [(dt, {names[key]: value for key, value in row.items()}) for dt, row in rows])


@settings(max_examples=100, deadline=None)
@given(bodies())
def test_programs_from_the_grammar(body: str) -> None:
    network = attempt(f"{HEAD}{body}\nEND_PROGRAM")
    if network is not None:  # what is read can be run
        one = Scanner(network)
        for _ in range(3):
            one.scan(10, {"a": True, "n": 3, "r": 1.5, "t": 20})


def test_most_programs_from_the_grammar_are_read() -> None:
    """What is refused tells little of what the reader makes of the rest."""
    read = list[bool]()

    @seed(0)
    @settings(max_examples=60, deadline=None, database=None, phases=[Phase.generate])
    @given(bodies())
    def each(body: str) -> None:
        read.append(attempt(f"{HEAD}{body}\nEND_PROGRAM") is not None)

    each()
    assert sum(read) > len(read) / 2


@st.composite
def damaged(draw: st.DrawFn) -> str:
    """A good program with some characters or words lost, doubled, swapped or foreign."""
    text = draw(st.sampled_from(GOOD))
    for _ in range(draw(st.integers(1, 4))):
        at, length = draw(st.integers(0, len(text))), draw(st.integers(0, 12))
        piece = draw(
            st.one_of(
                st.just(""),
                st.just(text[at : at + length] * 2),
                st.text(max_size=4),
                st.sampled_from(
                    [
                        "(*",
                        "*)",
                        "END_IF;",
                        "TO",
                        ":=",
                        "VAR",
                        "((",
                        "T#",
                        "%",
                        "1.",
                        "#",
                        "\0",
                        "é",
                        "..",
                        "'",
                    ]
                ),
            )
        )
        text = text[:at] + piece + text[at + length :]
    return text


@settings(max_examples=150, deadline=None)
@given(damaged())
def test_good_programs_with_damage(text: str) -> None:
    attempt(text)


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    attempt(text)


def test_texts_made_to_be_slow() -> None:
    blocks = "".join(
        f"FUNCTION_BLOCK B{n} VAR_INPUT x : BOOL; END_VAR VAR_OUTPUT y : BOOL; END_VAR VAR p, q : "
        f"B{n + 1}; END_VAR "
        f"p(x := x); q(x := p.y); y := q.y; END_FUNCTION_BLOCK\n"
        for n in range(30)
    )
    end = (
        "FUNCTION_BLOCK B30 VAR_INPUT x : BOOL; END_VAR VAR_OUTPUT y : BOOL; END_VAR y := x; "
        "END_FUNCTION_BLOCK\n"
    )
    main = "PROGRAM m VAR_OUTPUT q : BOOL; END_VAR VAR b : B{}; END_VAR b(x := TRUE); q := b.y; END_PROGRAM"
    loops = "".join("FOR i := 1 TO 100 DO " for _ in range(20)) + "q := NOT q;" + "END_FOR;" * 20
    ladder = "IF a THEN q := NOT q; ELSE m := m + 1; END_IF;\n" * 2000
    chain = f"q := {' OR '.join(['a', 'b'] * 20_000)};"
    for text in (
        blocks + end + main.format(0),
        blocks + end + main.format(20),
        f"{HEAD}{loops}\nEND_PROGRAM",
        f"{HEAD}{ladder}\nEND_PROGRAM",
        f"{HEAD}{chain}\nEND_PROGRAM",
        f"{HEAD}{'IF a THEN ' * 300}{'END_IF;' * 300}\nEND_PROGRAM",
        "(*" * 5000,
        "T#" + "9" * 10_000,
        f"{HEAD}u := T#{'9' * 5000}ms; m := {'9' * 5000}; s := {'9' * 5000}.0;\nEND_PROGRAM",
    ):
        attempt(text)
