"""What a condition can be: against every combination of values, worked out one by one."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.plan.meaning.names import signals
from steadfall.plan.meaning.truth import Scene, can_be
from steadfall.plan.model.condition import After, Always, And, Compare, Condition, InStage, Not, Or, Signal
from steadfall.plan.read.whole import read_text
from steadfall.plan.text.phrase import read_phrase
from steadfall.plan.text.tree import Scalar
from steadfall.source import NOWHERE
from tests.plan.paths import GOOD

PLAN = read_text(next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8"))
SCENE = Scene(PLAN, signals(PLAN), "upper")
STATES = ("idle", "dosing", "full", "blow_out")
LEAVES = st.one_of(
    st.sampled_from(("full_call", "reset_button")).map(Signal),
    st.tuples(st.sampled_from(("<", "<=", ">", ">=")), st.sampled_from((300.0, 310.0))).map(
        lambda pair: Compare("outlet_temperature", pair[0], pair[1], "temperature")
    ),
    st.sampled_from((*STATES, "finishing")).map(lambda name: InStage("upper", name)),
    st.sampled_from((10, 20)).map(After),
    st.booleans().map(Always),
)
CONDITIONS = st.recursive(
    LEAVES,
    lambda inner: st.one_of(
        inner.map(Not),
        st.tuples(inner, inner).map(And),
        st.tuples(inner, inner).map(Or),
    ),
    max_leaves=7,
)


def holds(condition: Condition, world: dict[str, Any]) -> bool:
    """The condition in one world, as a person would work it out."""
    found: Any = None
    match condition:
        case Signal(name):
            found = world[name]
        case Compare(_, op, value):
            is_ = world["temperature"]
            found = {"<": is_ < value, "<=": is_ <= value, ">": is_ > value, ">=": is_ >= value}[op]
        case InStage(_, stage):
            found = world["stage"] == ("blow_out" if stage == "finishing" else stage)
        case After(ms):
            found = world["time"] >= ms
        case Always(value):
            found = value
        case Not(part):
            found = not holds(part, world)
        case And(parts):
            found = all(holds(part, world) for part in parts)
        case Or(parts):
            found = any(holds(part, world) for part in parts)
    return bool(found)


WORLDS = [
    dict(zip(("full_call", "reset_button", "temperature", "stage", "time"), values, strict=True))
    for values in product(
        (True, False), (True, False), (290.0, 300.0, 305.0, 310.0, 320.0), STATES, (0, 9, 10, 15, 20, 99)
    )
]


@settings(max_examples=300, deadline=None)
@given(CONDITIONS)
def test_it_is_what_every_world_says(condition: Condition) -> None:
    assert can_be(condition, SCENE) == {holds(condition, world) for world in WORLDS}


@pytest.mark.parametrize(
    ("text", "true", "false"),
    [
        ("outlet_temperature < 140 degC or outlet_temperature > 120 degC", True, False),
        ("outlet_temperature > 100 degC and outlet_temperature < 90 degC", False, True),
        ("outlet_temperature > 100 degC and outlet_temperature <= 100 degC", False, True),
        ("outlet_temperature >= 100 degC and outlet_temperature <= 100 degC", True, True),
        (
            "upper.outlet_temperature > 100 degC and outlet_temperature < 90 degC",
            False,
            True,
        ),  # the same sensor
        ("lower.outlet_temperature > 100 degC and outlet_temperature < 90 degC", True, True),  # another one
        ("outlet_temperature out of range and outlet_temperature < 90 degC", True, True),
        (
            (
                "outlet_temperature out of range and outlet_temperature < 90 degC and outlet_temperature > "
                "80 "
                "degC"
            ),
            False,
            True,
        ),
        ("after 45 s and not after 30 s", False, True),
        ("(outlet_temperature < 95 degC with hysteresis 3 K) and outlet_temperature > 97 degC", True, True),
        ("(outlet_temperature < 95 degC with hysteresis 3 K) and outlet_temperature > 98 degC", False, True),
        ("full_call goes on and not full_call", False, True),
        ("full_call goes off and not full_call", True, True),
        ("upper is finishing and upper is dosing", False, True),
        ("full_call for 2 s", True, True),
        ("(full_call for 2 s) and not full_call", False, True),
        ("(full_call for 2 s) or not full_call", True, True),  # just called
        ("(full_call and not full_call) for 2 s", False, True),
        ("(full_call or not full_call) for 2 s", True, True),  # false at power-up
    ],
)
def test_by_hand(text: str, true: bool, false: bool) -> None:
    found = can_be(read_phrase(Scalar(text, NOWHERE)), SCENE)
    assert found == {value for value, there in ((True, true), (False, false)) if there}


def test_what_would_take_too_long_is_not_judged() -> None:
    parts = tuple(
        Compare("outlet_temperature", "<", 300.0 + place / 100, "temperature") for place in range(11_000)
    )
    assert can_be(Or((*parts, Not(parts[0]))), SCENE) == {True, False}
