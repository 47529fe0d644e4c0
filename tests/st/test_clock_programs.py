"""Small programs of timers and times, read by the product and worked out here from the standard alone.

Nothing is shared with the reader: a phrase is a pair of its text and of a function over what the variables
hold; a timer looks at the time of day instead of adding up scans.
"""

from __future__ import annotations

import operator
from collections.abc import Callable
from typing import Any

from attrs import define
from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.scan.interpreter import Scanner
from steadfall.st.read.whole import read_st

Held = dict[str, Any]
Phrase = tuple[str, Callable[[Held], Any]]  # its text, and what it gives
Phrases = st.SearchStrategy[Phrase]

HEAD = """PROGRAM x
VAR_INPUT a, b : BOOL; END_VAR VAR_OUTPUT q, p : BOOL; END_VAR
VAR d, e : TON; seen : BOOL; u, w : TIME; END_VAR
"""
ORDER: dict[str, Callable[[Any, Any], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "=": operator.eq,
    "<>": operator.ne,
}


@define
class Timer:
    """An on-delay timer by its timing diagram (IEC 61131-3)."""

    on: bool = False
    since: int = 0

    def call(self, held: Held, name: str, on: bool, preset: int) -> None:
        if on and not self.on:
            self.since = held["now"]
        self.on = on
        held[f"{name}.ET"] = min(held["now"] - self.since, preset) if on else 0
        held[f"{name}.Q"] = on and held[f"{name}.ET"] >= preset


def variable(name: str) -> Phrase:
    return name, lambda held: held[name]


def constant(ms: int) -> Phrase:
    return f"T#{ms}ms", lambda _held: ms


def chosen(when: Phrase, no: Phrase, yes: Phrase) -> Phrase:
    text = f"SEL({when[0]}, {no[0]}, {yes[0]})"
    return text, lambda held: yes[1](held) if when[1](held) else no[1](held)


def added(one: Phrase, other: Phrase) -> Phrase:
    return f"({one[0]} + {other[0]})", lambda held: one[1](held) + other[1](held)


def compared(one: Phrase, op: str, other: Phrase) -> Phrase:
    return f"({one[0]} {op} {other[0]})", lambda held: ORDER[op](one[1](held), other[1](held))


def both(one: Phrase, other: Phrase) -> Phrase:
    return f"({one[0]} AND {other[0]})", lambda held: one[1](held) and other[1](held)


def either(one: Phrase, other: Phrase) -> Phrase:
    return f"({one[0]} OR {other[0]})", lambda held: one[1](held) or other[1](held)


def opposite(one: Phrase) -> Phrase:
    return f"NOT {one[0]}", lambda held: not one[1](held)


CONSTANTS: Phrases = st.sampled_from([0, 10, 20, 30, 50, 80, 1000]).map(constant)
FLAGS: Phrases = st.sampled_from(["a", "b", "seen", "d.Q", "e.Q", "q"]).map(variable)
CLOCKS: Phrases = st.sampled_from(["d.ET", "e.ET", "u", "w"]).map(variable)
TIMES: Phrases = st.one_of(
    CLOCKS,
    CLOCKS,
    st.builds(chosen, FLAGS, CLOCKS, st.one_of(CLOCKS, CONSTANTS)),
    st.builds(chosen, FLAGS, CONSTANTS, CLOCKS),
    st.builds(added, st.sampled_from(["d.ET", "e.ET"]).map(variable), CONSTANTS),
)
OPS = st.sampled_from(list(ORDER))
ASKED: Phrases = st.one_of(
    FLAGS,
    st.builds(compared, TIMES, OPS, CONSTANTS),
    st.builds(compared, CONSTANTS, OPS, TIMES),
    st.builds(compared, CLOCKS, OPS, CLOCKS),
)
BOOLS: Phrases = st.one_of(
    ASKED, ASKED, st.builds(both, ASKED, ASKED), st.builds(either, ASKED, ASKED), ASKED.map(opposite)
)


def assigned(name: str, value: Phrase) -> Phrase:
    return f"{name} := {value[0]};", lambda held: held.update({name: value[1](held)})


def called(name: str, on: Phrase, preset: Phrase) -> Phrase:
    text = f"{name}(IN := {on[0]}, PT := {preset[0]});"
    return text, lambda held: held[name].call(held, name, on[1](held), preset[1](held))


def in_order(parts: list[Phrase]) -> Phrase:
    return "\n".join(text for text, _ in parts), lambda held: [do(held) for _, do in parts]


def branched(when: Phrase, yes: Phrase, no: Phrase) -> Phrase:
    text = f"IF {when[0]} THEN {yes[0]} ELSE {no[0]} END_IF;"
    return text, lambda held: (yes if when[1](held) else no)[1](held)


SIMPLE: Phrases = st.one_of(
    st.builds(called, st.sampled_from(["d", "e"]), BOOLS, CONSTANTS),
    st.builds(called, st.sampled_from(["d", "e"]), BOOLS, CONSTANTS),
    st.builds(assigned, st.sampled_from(["q", "p", "seen"]), BOOLS),
    st.builds(assigned, st.sampled_from(["u", "w"]), TIMES),
    st.just(assigned("seen", either(variable("seen"), variable("a")))),
)
STATEMENTS: Phrases = st.one_of(SIMPLE, SIMPLE, st.builds(branched, BOOLS, SIMPLE, SIMPLE))
PROGRAMS: Phrases = st.tuples(
    st.lists(STATEMENTS, min_size=2, max_size=8), st.builds(assigned, st.just("q"), BOOLS)
).map(lambda made: in_order([*made[0], made[1]]))
SCANS = st.lists(st.tuples(st.integers(1, 40), st.booleans(), st.booleans()), min_size=1, max_size=14)


@settings(max_examples=500, deadline=None)
@given(PROGRAMS, SCANS)
def test_clock_programs_run_as_the_standard_says(made: Phrase, scans: list[tuple[int, bool, bool]]) -> None:
    text, do = made
    run = Scanner(read_st(f"{HEAD}{text}\nEND_PROGRAM", "x.st"))
    held: Held = dict.fromkeys(("seen", "q", "p", "d.Q", "e.Q"), False)
    held |= dict.fromkeys(("now", "u", "w", "d.ET", "e.ET"), 0)
    held |= {"d": Timer(), "e": Timer()}
    for dt, a, b in scans:
        held |= {"now": held["now"] + dt, "a": a, "b": b}
        do(held)
        shown = run.scan(dt, {"a": a, "b": b})
        assert (shown["q"], shown["p"]) == (held["q"], held["p"])
