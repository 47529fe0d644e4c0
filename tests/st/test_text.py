"""What the written program looks like: what the standard asks of names, units, comments, and what a person
reads.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Not, Read, Type
from steadfall.plan.model import Io, Plan, Terminal
from steadfall.plan.read.whole import read_file
from steadfall.st.write.names import LONGEST, RESERVED, Names, identifier
from steadfall.st.write.split import UnlikeError, share
from steadfall.st.write.whole import structured_text
from tests.examples import EXAMPLES
from tests.st.test_round_trip import PLANS

PRESS = read_file(EXAMPLES["press"])


def code_only(text: str) -> str:
    return re.sub(r"\(\*.*?\*\)", " ", text, flags=re.DOTALL)


def statements(text: str) -> Iterator[str]:
    """Every statement of a body that stands under no other, up to and with the first comment behind it
    begins.
    """
    for unit in re.findall(r"END_VAR\n\n(.*?)\nEND_(?:PROGRAM|FUNCTION_BLOCK)", text, flags=re.DOTALL):
        lines = [line for line in unit.splitlines() if line and not re.fullmatch(r"\(\*.*\*\)", line)]
        found: list[str] = []
        for line in lines:
            if not line.startswith((" ", "ELS", "END_")):
                yield from found
                found = []
            if line.startswith(" (", 3) or not found:
                found = ["\n".join([*found, line])]
            elif line.startswith("    ") and ("(*" not in found[0]):
                found = [f"{found[0]}\n{line}"]
        yield from found


@pytest.mark.parametrize("name", PLANS)
def test_names_are_short_ascii_and_free(name: str) -> None:
    text = structured_text(PLANS[name]).text
    assert text.isascii()
    declared = re.findall(r"^    (\w+)(?: AT \S+)? : \w+", code_only(text), flags=re.MULTILINE)
    assert len(declared) > 20
    for word in declared:
        assert re.fullmatch(r"[A-Za-z](?:_?[A-Za-z0-9])*", word), word
        assert len(word) <= LONGEST
        assert word.lower() not in RESERVED


@given(st.lists(st.text(max_size=60), max_size=12))
def test_any_wish_becomes_a_name_of_its_own(wishes: list[str]) -> None:
    names = Names()
    found = [names.of(number, wish) for number, wish in enumerate(wishes)]
    assert len({word.lower() for word in found}) == len(found)
    for word in [*found, *map(identifier, wishes)]:
        assert re.fullmatch(r"[A-Za-z](?:_?[A-Za-z0-9])*", word)
        assert len(word) <= LONGEST


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_every_statement_tells_its_line_of_the_plan(name: str) -> None:
    plan = read_file(EXAMPLES[name])
    for statement in statements(structured_text(plan).text):
        assert re.search(rf"\(\* (?:{name}\.yaml:\d+(?:, \d+)*|value of the last scan) \*\)$", statement), (
            statement
        )


def test_one_block_per_type_and_one_instance_per_circuit() -> None:
    text = code_only(structured_text(PRESS).text)
    assert re.findall(r"^FUNCTION_BLOCK (\w+)", text, flags=re.MULTILINE) == ["PLATEN_CIRCUIT"]
    assert re.findall(r"^    (\w+) : PLATEN_CIRCUIT;", text, flags=re.MULTILINE) == ["upper", "lower"]


def test_timers_are_called_without_any_condition() -> None:
    for plan in PLANS.values():
        text = code_only(structured_text(plan).text)
        assert not re.search(r"\b(FOR|WHILE|REPEAT|RETURN|EXIT)\b", text)
        # What stands under a condition is set in; the rest of a folded call is too, and is no call.
        blocks = re.findall(r"^    (\w+) : (?:TON|TOF|TP|SR|RS|R_TRIG|F_TRIG);", text, flags=re.MULTILINE)
        assert any(block.startswith("timer_") for block in blocks)
        for block in blocks:
            calls = re.findall(rf"^( *){block}\(", text, flags=re.MULTILINE)
            assert calls, block
            assert set(calls) == {""}, block


def test_sequences_and_valves_are_cases_and_branches() -> None:
    text = code_only(structured_text(PRESS).text)
    body = text.partition("END_VAR\n\n")[2].partition("END_FUNCTION_BLOCK")[0]
    assert "MUX(" not in text
    assert (
        body.count("SEL(") == 2
    )  # the shortest time by what the valve does, the time before anything has moved
    assert "    STATE_SOAKING: mist_wanted := TRUE;\nELSE\n    mist_wanted := FALSE;\nEND_CASE;" in body
    assert "IF NOT may_cool THEN  \n    mist := FALSE;\nELSIF" in body
    assert "ELSIF (stage < target) AND step_over THEN\n        stage := stage_next;\n    END_IF;" in body


def test_head_tells_which_plan_it_is() -> None:
    head = structured_text(PRESS).text.partition("*)")[0]
    for part in (PRESS.title, PRESS.digest, PRESS.revised, "not a safety function", "T#20ms", "T#40ms"):
        assert part in head


def test_presets_stand_as_constants() -> None:
    text, kind = structured_text(PRESS).text, PRESS.type_of("upper")
    dose, step = kind.stages[0].actions["mist"].at.own, kind.finish[0].at.own
    for line in (
        f"MIST_FIRST_DOSES_OPEN : TIME := T#400ms; (* mist.first_doses.open, press.yaml:{dose.line} *)",
        f"BLOW_OUT_FOR : TIME := T#20s; (* blow_out.for, press.yaml:{step.line} *)",
        "LOWER_DELAY_DOSES : TIME := T#1s600ms;",
    ):
        assert line in text
    body = text.partition("END_VAR\n\n")[2]
    assert set(re.findall(r"T#\w+", code_only(body.partition("PROGRAM")[0]))) == {"T#0s"}


def test_a_comment_cannot_be_ended_from_the_plan() -> None:
    plan = evolve(PRESS, title="a *) x := TRUE; (* (* // é ж \n 水", revised="*)")
    text = structured_text(plan).text
    assert text.isascii()
    assert "x := TRUE" not in code_only(text)
    assert text.count("(*") == text.count("*)")


def test_an_address_is_declared_where_it_fits() -> None:
    wired = {
        "upper.mist": Terminal("upper.mist", "X4.1", "%QX0.0"),
        "upper.pressure": Terminal("upper.pressure", "X5.1", "%IW2"),
        "full_call": Terminal("full_call", "", "%IX0.3"),
    }
    text = structured_text(evolve(PRESS, io=Io(wired))).text
    assert "upper_mist AT %QX0.0 : BOOL; (* upper.mist, X4.1 *)" in text
    assert "full_call AT %IX0.3 : BOOL; (* full_call *)" in text
    assert "upper_pressure : REAL; (* upper.pressure, X5.1, %IW2 *)" in text  # a word is not a REAL


def test_the_same_plan_gives_the_same_text() -> None:
    again: Plan = read_file(EXAMPLES["press"])
    assert structured_text(PRESS).text == structured_text(again).text


def test_circuits_that_differ_inside_share_no_block() -> None:
    own = Read("a.x", Type.BOOL)
    rows = {
        "a": [
            Assignment("a.x", Type.BOOL, Read("in", Type.BOOL), False),
            Assignment("a.y", Type.BOOL, own, False),
        ],
        "b": [
            Assignment("b.x", Type.BOOL, Read("in", Type.BOOL), False),
            Assignment("b.y", Type.BOOL, Not(Read("b.x", Type.BOOL)), False),
        ],
    }
    with pytest.raises(UnlikeError):
        share(rows)
    same = {"a": rows["a"], "b": [rows["b"][0], Assignment("b.y", Type.BOOL, Read("b.x", Type.BOOL), False)]}
    assert [row.name for row in share(same).rows] == ["x", "y"]
