"""Texts that are long or deep: read, or refused at their place; never a traceback."""

from __future__ import annotations

import pytest

from steadfall.logic.nodes import Value
from steadfall.prove.system.bounds.overflow import overflows
from steadfall.scan.interpreter import Scanner
from steadfall.source import PlanError
from steadfall.st.read import parse
from steadfall.st.read.whole import read_st
from tests.st.test_reader import program

MANY = 1200
LONG = {
    "ELSIF": "IF n = 0 THEN m := 1; "
    + "".join(f"ELSIF n = {k} THEN m := {k};\n" for k in range(1, MANY))
    + "END_IF;",
    "CASE": "CASE n OF " + "".join(f"{k}: m := {k};\n" for k in range(1, MANY)) + "END_CASE;",
    "selections": "".join(f"m := SEL(n = {k}, m, {k});\n" for k in range(1, MANY)),
}


@pytest.mark.parametrize("name", LONG)
def test_a_long_choice_is_read(name: str) -> None:
    network = read_st(program(LONG[name]), "x.st")
    assert overflows(network) == []
    run = Scanner(network)
    given: list[dict[str, Value]] = [{"n": 1}, {"n": 777}, {"n": MANY - 1}, {"n": MANY}]
    assert [run.scan(10, one)["m"] for one in given] == [1, 777, MANY - 1, MANY - 1]


def test_pairs_that_hang_on_each_other_are_read_in_the_time_of_their_number() -> None:
    """Each pair of times is chosen from the pair before: looking through all ways would take 2^200 steps."""
    pairs = range(1, 200)
    body = "".join(
        f"v{k} := SEL(a, v{k - 1}, w{k - 1}); w{k} := SEL(b, w{k - 1}, v{k - 1});\n" for k in pairs
    )
    declared = "".join(f"v{k}, w{k} : TIME;" for k in range(200))
    text = program(f"v0 := SEL(a, T#1s, T#2s); w0 := SEL(b, T#3s, T#4s);\n{body} q := T#3s < v199;", declared)
    run = Scanner(read_st(text, "x.st"))
    assert [run.scan(10, {"a": True, "b": value})["q"] for value in (True, False)] == [True, False]


def test_a_long_sum_is_read() -> None:
    """Of whole numbers, times and REAL, which are added from the left as they are written."""
    lines = (
        f"m := {' + '.join(['n', *map(str, range(1, 300))])};",
        f"s := {' + '.join(['r'] * 150)} - {' - '.join(['0.1'] * 150)};",
        f"u := {' + '.join(['t'] * 300)};",
    )
    network = read_st(program("\n".join(lines)), "x.st")
    shown = Scanner(network).scan(10, {"n": -4, "r": 0.3, "t": 7})
    real = 0.3
    for term in [0.3] * 149 + [-0.1] * 150:
        real += term
    assert (shown["m"], shown["s"], shown["u"]) == (-4 + sum(range(1, 300)), real, 2100)
    assert [one.signal for one in overflows(network)] == ["m", "the sum or product here, so far"]


def test_a_very_long_sum_is_read_in_the_time_of_its_length() -> None:
    network = read_st(program(f"m := {' + '.join(['n'] * 20_000)};"), "x.st")
    assert Scanner(network).scan(10, {"n": 1})["m"] == 20_000


def test_the_greatest_of_many_is_read_in_the_time_of_their_number() -> None:
    """What is chosen stands twice, compared and given: of 30 within each other that would be 2^30 parts."""
    within = "n"
    for k in range(30):
        within = f"LIMIT({k}, {within}, {100 - k})"
    greatest = f"MAX(n, {', '.join(map(str, range(200)))})"
    least = f"MIN(t, {', '.join(f'T#{k}ms' for k in range(2, 200))})"
    run = Scanner(read_st(program(f"m := {greatest}; k := {within}; u := {least};", "k : INT;"), "x.st"))
    shown = [run.scan(10, {"n": n, "t": t}) for n, t in ((7, 3000), (65, 1), (300, 12))]
    assert [(one["m"], one["k"], one["u"]) for one in shown] == [(199, 29, 2), (199, 65, 1), (300, 71, 2)]


def _turned(levels: int, terms: int) -> int:
    value = 1
    for _ in range(levels):
        value = -(value + terms)
    return value


DEEP: dict[str, tuple[str, dict[str, Value]]] = {
    "xor": (f"q := {' XOR '.join(['a', 'b'] * 300)} XOR a;", {"q": True}),
    "functions": (
        f"m := ADD({', '.join(['n'] * 256)}); q := XOR({', '.join(['a', 'b'] * 127)}, a);",
        {"m": 256, "q": True},
    ),
    "sums within sums": (f"m := {'-(' * 40}n{(' + n' * 22 + ')') * 40};", {"m": _turned(40, 22)}),
}


@pytest.mark.parametrize("name", DEEP)
def test_what_is_long_and_deep_at_once_is_read(name: str) -> None:
    body, wanted = DEEP[name]
    shown = Scanner(read_st(program(body), "x.st")).scan(10, {"a": True, "b": True, "n": 1})
    assert {key: shown[key] for key in wanted} == wanted


REFUSED = {
    f"q := a;\nm := {'(n + ' * 300}n{')' * 300};": ("x.st:6:", "more than 60 levels within each other"),
    f"q := a;\nq := {'NOT ' * 300}a;": ("x.st:6:", "more than 60 levels within each other"),
}


@pytest.mark.parametrize("body", REFUSED, ids=("brackets", "not"))
def test_what_is_too_deep_is_told_at_its_place(body: str) -> None:
    place, read = REFUSED[body]
    with pytest.raises(PlanError) as caught:
        read_st(program(body), "x.st")
    assert str(caught.value).startswith(place)
    assert read in str(caught.value)


SECTIONS = {
    "VAR_TEMP e : TON; END_VAR": "a block in VAR_TEMP is not read",
    "VAR_INPUT e : TON; END_VAR": "a block in VAR_INPUT is not read",
    "VAR e AT %MX0.0 : TON; END_VAR": "a block has no address",
}


@pytest.mark.parametrize("declared", SECTIONS)
def test_a_block_keeps_what_it_holds(declared: str) -> None:
    call = "e(IN := TRUE, PT := T#1s); q := e.Q;"
    text = f"PROGRAM x VAR_OUTPUT q : BOOL; END_VAR {declared} {call} END_PROGRAM"
    inner = text.replace("PROGRAM x", "FUNCTION_BLOCK f").replace("END_PROGRAM", "END_FUNCTION_BLOCK")
    outer = f"{inner} PROGRAM x VAR f1 : f; END_VAR VAR_OUTPUT q : BOOL; END_VAR f1(); q := f1.q; END_PROGRAM"
    for said in (text, outer):
        with pytest.raises(PlanError, match=r"x\.st:1:\d+") as caught:
            read_st(said, "x.st")
        assert SECTIONS[declared] in str(caught.value)


def test_a_name_is_not_offered_in_its_own_place() -> None:
    with pytest.raises(PlanError) as caught:
        read_st(program("q := e;\nd(IN := a, IN := b);", "e : R_TRIG; d : TON;"), "x.st")
    told = str(caught.value)
    assert "'e' is a function block and has no value of its own; expected one of its outputs" in told
    assert "'in' is given twice" in told
    assert "did you mean" not in told


def test_too_long_a_text_is_refused_where_it_becomes_too_long(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before it is parsed: comments do not count."""
    monkeypatch.setattr(parse, "_parser", lambda: pytest.fail("the text was parsed"))
    body = "(* ; *) q := a;\n" * 100_000
    with pytest.raises(PlanError, match=r"x\.st:59997:15: more than 60000 statements and declarations"):
        read_st(program(body), "x.st")
