import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadfall.plan.model.condition import (
    After,
    Always,
    And,
    Compare,
    Condition,
    Goes,
    Held,
    InStage,
    Not,
    Or,
    OutOfRange,
    Passed,
    Signal,
)
from steadfall.plan.text.phrase import DEEPEST_PHRASE, LONGEST_PHRASE, read_phrase
from steadfall.plan.text.speak import speak
from steadfall.plan.text.tree import Scalar
from steadfall.plan.text.words import RESERVED, PhraseError
from steadfall.source import Mark


def phrase(text: str) -> Condition:
    return read_phrase(Scalar(text, Mark("p.yaml", 3, 10)))


A, B, C = Signal("a"), Signal("b"), Signal("c")


@pytest.mark.parametrize(
    ("text", "condition"),
    [
        ("a", A),
        ("not a", Not(A)),
        ("not not a", Not(Not(A))),
        ("a and b and c", And((A, B, C))),
        ("a or b or c", Or((A, B, C))),
        ("a and (b or c)", And((A, Or((B, C))))),
        ("((a))", A),
        ("true", Always(value=True)),
        ("false", Always(value=False)),
        ("a for 0.2 s", Held(A, 200)),
        ("a and b for 120 s", Held(And((A, B)), 120_000)),
        ("a and (b for 2 min)", And((A, Held(B, 120_000)))),
        ("(a for 1 s) for 2 s", Held(Held(A, 1000), 2000)),
        ("after 45 s and t < 140 degC", And((After(45_000), Compare("t", "<", 413.15, "temperature")))),
        ("after 4:40 and a", And((After(280_000), A))),
        ("a for 1:04:40.5", Held(A, 3_880_500)),
        ("u.p > 7 barg for 0.2 s", Held(Compare("u.p", ">", 801325.0, "pressure"), 200)),
        ("d >= 40 %", Compare("d", ">=", 40.0, "percent")),
        ("d<=40 %", Compare("d", "<=", 40.0, "percent")),
        ("w > 0.2 kg/s", Compare("w", ">", 0.2, "mass_flow")),
        ("t out of range", OutOfRange("t")),
        ("t < 95 degC with hysteresis 3 K", Compare("t", "<", 368.15, "temperature", hysteresis=3.0)),
        (
            "u.p >= 7 barg with hysteresis 0.2 bar for 2 s",
            Held(Compare("u.p", ">=", 801325.0, "pressure", hysteresis=20_000.0), 2000),
        ),
        ("a goes on", Goes("a", on=True)),
        ("not a goes off and b", And((Not(Goes("a", on=False)), B))),
        ("u.stage_time >= 5 s", Passed("u.stage_time", ">=", 5000)),
        ("not u.m.held_time < 0.3 s", Not(Passed("u.m.held_time", "<", 300))),
        ("upper is dosing", InStage("upper", "dosing")),
        ("not upper is idle", Not(InStage("upper", "idle"))),
        ("d > 3 % and not a", And((Compare("d", ">", 3.0, "percent"), Not(A)))),
        ("a\nand b", And((A, B))),
    ],
)
def test_reads(text: str, condition: Condition) -> None:
    assert phrase(text) == condition


@pytest.mark.parametrize(
    ("text", "slug", "column"),
    [
        ("a and b or c", "and-or-mixed", 18),
        ("a goes up", "phrase", 17),
        ("t < 95 degC with", "phrase", 26),
        ("t < 95 degC with 3 K", "phrase", 27),
        ("t < 95 degC with hysteresis 3 barg", "wrong-dimension", 38),
        ("t < 95 degC with hysteresis 0 K", "out-of-bounds", 38),
        ("t < 95 degC with hysteresis", "phrase", 37),
        ("a or b and c", "and-or-mixed", 17),
        ("a for 1 s and b", "phrase", 20),
        ("a for 1 s for 2 s", "phrase", 20),
        ("a and", "phrase", 15),
        ("and a", "phrase", 10),
        ("(a", "phrase", 12),
        ("a)", "phrase", 11),
        ("()", "phrase", 11),
        ("a b", "phrase", 12),
        ("a < b", "phrase", 14),
        ("a < 3", "missing-unit", 14),
        ("a < 3 bar", "gauge-or-absolute", 14),
        ("a < 3 for 2 s", "missing-unit", 14),
        ("a < 3 mm", "wrong-dimension", 14),
        ("a == 3 K", "phrase", 12),
        ("a out of", "phrase", 18),
        ("a is 3 s", "phrase", 15),
        ("a is b.c", "phrase", 15),
        ("after", "phrase", 15),
        ("after 3 degC", "wrong-dimension", 16),
        ("after 0.0001 s", "not-whole-ms", 16),
        ("a & b", "phrase", 12),
        ("for", "phrase", 10),
        ("", "phrase", 10),
        ("   ", "phrase", 10),
        ("not", "phrase", 13),
        ("3 s", "phrase", 10),
        ("A.b.", "phrase", 13),
    ],
)
def test_refuses_at_the_word(text: str, slug: str, column: int) -> None:
    with pytest.raises(PhraseError) as caught:
        phrase(text)
    assert (caught.value.slug, caught.value.mark.column) == (slug, column)


@pytest.mark.parametrize("text", ["(" * 1000 + "a", "not " * 900 + "a", "(" * 4000, "not (" * 500])
def test_deep_brackets_are_refused(text: str) -> None:
    with pytest.raises(PhraseError) as caught:
        phrase(text)
    assert caught.value.slug == "too-deep"


def test_a_very_long_condition_is_refused() -> None:
    with pytest.raises(PhraseError):
        phrase("a and " * LONGEST_PHRASE + "a")


def test_marks_lie_within_the_line() -> None:
    condition = phrase("a and not t < 3 K")
    assert isinstance(condition, And)
    inner = condition.parts[1]
    assert isinstance(inner, Not)
    assert inner.part.mark.column == 10 + 10


NAMES = st.from_regex(r"[a-z]{1,3}(\.[a-z]{1,3})?", fullmatch=True).filter(
    lambda name: not set(name.split(".")) & RESERVED and name not in RESERVED
)
TIMES = st.integers(0, 10_000_000)
VALUES = st.decimals(-100, 1000, places=3).map(float)
LEAVES = st.one_of(
    st.builds(Always, value=st.booleans()),
    st.builds(Signal, NAMES),
    st.builds(
        lambda name, op, value: Compare(name, op, value + 273.15, "temperature"),
        NAMES,
        st.sampled_from(["<", "<=", ">", ">="]),
        VALUES,
    ),
    st.builds(OutOfRange, NAMES),
    st.builds(InStage, NAMES, NAMES.filter(lambda name: "." not in name)),
    st.builds(After, TIMES),
    st.builds(Passed, NAMES, st.sampled_from(["<", "<=", ">", ">="]), TIMES),
)


def larger(parts: st.SearchStrategy[Condition]) -> st.SearchStrategy[Condition]:
    several = st.lists(parts, min_size=2, max_size=3).map(tuple)
    return st.one_of(
        st.builds(Not, parts), st.builds(And, several), st.builds(Or, several), st.builds(Held, parts, TIMES)
    )


CONDITIONS = st.recursive(LEAVES, larger, max_leaves=8)


def depth(condition: Condition) -> int:
    below = getattr(condition, "parts", None) or (
        [condition.part] if isinstance(condition, Not | Held) else []
    )
    return 1 + max((depth(part) for part in below), default=0)


@given(CONDITIONS)
def test_what_is_spoken_is_read_as_the_same(condition: Condition) -> None:
    if depth(condition) < DEEPEST_PHRASE:
        assert phrase(speak(condition)) == condition


@given(st.text(alphabet="ab()<>= .andortfisu0123456789 %degCK", max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        condition = phrase(text)
    except PhraseError:
        return
    assert phrase(speak(condition)) == condition
