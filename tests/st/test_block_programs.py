"""Small programs of choices, loops and blocks, read by the product and worked out here from the standard.

Nothing is shared with the reader: a phrase is a pair of its text and of a function over what the variables
hold, as in test_clock_programs.py; a block is an object that is called.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from attrs import define, frozen
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadfall.scan.interpreter import Scanner
from steadfall.st.read.whole import read_st
from tests.st.test_clock_programs import (
    ORDER,
    Held,
    Phrase,
    Phrases,
    assigned,
    both,
    compared,
    either,
    in_order,
    opposite,
    variable,
)

LEAST, MOST = -3, 9  # what a number is kept within


@frozen
class Words:
    """The names that a unit's phrases may use."""

    flags: tuple[str, ...]
    numbers: tuple[str, ...]
    set_flags: tuple[str, ...]
    set_numbers: tuple[str, ...]
    edges: tuple[str, ...] = ()
    latches: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    counters: tuple[str, ...] = ()


@define
class Rise:
    """Seen once at each rise of its input; at power-up as if it had been off."""

    was: bool = False

    def call(self, on: bool) -> bool:
        seen, self.was = on and not self.was, on
        return seen


@define
class Latch:
    """Keeps what was set; `first` wins where both are asked."""

    first: bool
    on: bool = False

    def call(self, wanted: bool, reset: bool) -> bool:
        self.on = (wanted or (self.on and not reset)) if self.first else not reset and (wanted or self.on)
        return self.on


@define
class Off:
    """An off-delay timer by its timing diagram: on until it has been off for the time."""

    was: bool = False
    until: int = -1

    def call(self, now: int, on: bool, preset: int) -> bool:
        if self.was and not on:
            self.until = now + preset
        self.was = on
        return on or now < self.until


@define
class Pulse:
    """A pulse by its timing diagram: begun by a rise, as long as the time, whatever the input does.

    A rise in the scan in which it ends begins no other: the diagrams leave that open, docs/logic.md has it.
    """

    was: bool = False
    on: bool = False
    until: int = -1

    def call(self, now: int, on: bool, preset: int) -> bool:
        if self.on:
            self.on = now < self.until
        elif on and not self.was:
            self.on, self.until = True, now + preset
        self.was = on
        return self.on


def numbered(op: str, one: Phrase, other: Phrase) -> Phrase:
    work: dict[str, Callable[[int, int], int]] = {
        "+": lambda x, y: x + y,
        "-": lambda x, y: x - y,
        "MIN": min,
        "MAX": max,
    }
    text = f"({one[0]} {op} {other[0]})" if op in "+-" else f"{op}({one[0]}, {other[0]})"
    return text, lambda held: work[op](one[1](held), other[1](held))


def constant(value: int) -> Phrase:
    return str(value), lambda _held: value


def chosen(when: Phrase, no: Phrase, yes: Phrase) -> Phrase:
    return f"SEL({when[0]}, {no[0]}, {yes[0]})", lambda held: (yes if when[1](held) else no)[1](held)


def picked(index: Phrase, parts: Sequence[Phrase]) -> Phrase:
    """MUX; the index is kept within what there is, since the standard leaves it open what is beyond."""
    text = f"MUX(LIMIT(0, {index[0]}, {len(parts) - 1}), {', '.join(part[0] for part in parts)})"
    return text, lambda held: parts[min(max(index[1](held), 0), len(parts) - 1)][1](held)


def asked(flag: Phrase, number: Phrase) -> Phrase:
    return (
        f"choose({flag[0]}, {number[0]})",
        lambda held: held["choose"]({"x": flag[1](held), "n": number[1](held)}),
    )


def numbers(words: Words) -> Phrases:
    plain = st.one_of(st.sampled_from(words.numbers).map(variable), st.integers(LEAST, MOST).map(constant))
    flag = st.sampled_from(words.flags).map(variable)
    ops = st.sampled_from(["+", "-", "MIN", "MAX"])
    return st.one_of(
        plain,
        st.builds(numbered, ops, plain, plain),
        st.builds(chosen, flag, plain, plain),
        st.builds(picked, plain, st.lists(plain, min_size=2, max_size=4)),
    )


def flags(words: Words, functions: bool) -> Phrases:
    plain = st.sampled_from(words.flags).map(variable)
    ops, number = st.sampled_from(list(ORDER)), numbers(words)
    one = st.one_of(plain, plain, st.builds(compared, number, ops, number))
    if functions:
        one = st.one_of(one, st.builds(asked, plain, number))
    return st.one_of(one, one, st.builds(both, one, one), st.builds(either, one, one), one.map(opposite))


def kept_within(name: str, value: Phrase) -> Phrase:
    return (
        f"{name} := LIMIT({LEAST}, {value[0]}, {MOST});",
        lambda held: held.update({name: min(max(value[1](held), LEAST), MOST)}),
    )


def edge_called(name: str, on: Phrase) -> Phrase:
    return f"{name}(CLK := {on[0]});", lambda held: held.update({f"{name}.Q": held[name].call(on[1](held))})


def latch_called(name: str, wanted: Phrase, reset: Phrase) -> Phrase:
    text = f"{name}({wanted[0]}, {reset[0]});"
    return text, lambda held: held.update({f"{name}.Q1": held[name].call(wanted[1](held), reset[1](held))})


def unit_called(name: str, x: Phrase | None, n: Phrase | None) -> Phrase:
    """What is not handed keeps what was handed last."""
    given = {key: part for key, part in (("x", x), ("n", n)) if part is not None}
    text = f"{name}({', '.join(f'{key} := {part[0]}' for key, part in given.items())});"

    def do(held: Held) -> None:
        own: Held = held[name]
        own |= {key: part[1](held) for key, part in given.items()}
        held["unit"](own)
        held[f"{name}.y"], held[f"{name}.m"] = own["y"], own["m"]

    return text, do


def branched(parts: Sequence[tuple[Phrase, Phrase]], last: Phrase | None) -> Phrase:
    text = " ELSIF ".join(f"{when[0]} THEN {do[0]}" for when, do in parts)
    otherwise = f" ELSE {last[0]}" if last else ""

    def do(held: Held) -> None:
        found = next((body for when, body in parts if when[1](held)), last)
        if found is not None:
            found[1](held)

    return f"IF {text}{otherwise} END_IF;", do


def by_case(number: Phrase, bodies: Sequence[Phrase], labels: Sequence[range], last: Phrase | None) -> Phrase:
    rows = list(zip(labels, bodies, strict=False))
    text = " ".join(
        f"{one.start}{f'..{one.stop - 1}' if len(one) > 1 else ''}: {body[0]}" for one, body in rows
    )
    otherwise = f" ELSE {last[0]}" if last else ""

    def do(held: Held) -> None:
        value = number[1](held)
        found = next((body for one, body in rows if value in one), last)
        if found is not None:
            found[1](held)

    return f"CASE {number[0]} OF {text}{otherwise} END_CASE;", do


def looped(counter: str, begin: int, end: int, by: int, body: Phrase) -> Phrase:
    def do(held: Held) -> None:
        held[counter] = begin
        while held[counter] <= end if by > 0 else held[counter] >= end:
            body[1](held)
            held[counter] += by

    return f"FOR {counter} := {begin} TO {end} BY {by} DO {body[0]} END_FOR;", do


def labels() -> st.SearchStrategy[list[range]]:
    """Numbers and ranges that do not meet."""

    def apart(lengths: list[tuple[int, int]]) -> list[range]:
        found, at = [], LEAST
        for skip, length in lengths:
            found.append(range(at + skip, at + skip + length))
            at += skip + length
        return found

    return st.lists(st.tuples(st.integers(0, 2), st.integers(1, 3)), min_size=3, max_size=3).map(apart)


def statements(words: Words, functions: bool) -> Phrases:
    flag, number = flags(words, functions), numbers(words)
    simple = [
        st.builds(assigned, st.sampled_from(words.set_flags), flag),
        st.builds(kept_within, st.sampled_from(words.set_numbers), number),
    ]
    if words.edges:
        simple.append(st.builds(edge_called, st.sampled_from(words.edges), flag))
    if words.latches:
        simple.append(st.builds(latch_called, st.sampled_from(words.latches), flag, flag))
    if words.units:
        unit = st.sampled_from(words.units)
        simple.append(st.builds(unit_called, unit, st.none() | flag, st.none() | number))
    one = st.one_of(simple)
    body = st.lists(one, min_size=1, max_size=3).map(in_order)
    rows = st.lists(st.tuples(flag, body), min_size=1, max_size=3)
    last = st.none() | body
    choices = [
        st.builds(branched, rows, last),
        st.builds(by_case, number, st.lists(body, min_size=1, max_size=3), labels(), last),
    ]
    inner = st.lists(st.one_of(one, *choices), min_size=1, max_size=2).map(in_order)
    if words.counters:
        ends, by = st.integers(-1, 3), st.sampled_from([-2, -1, 1, 2])
        choices.append(st.builds(looped, st.sampled_from(words.counters), ends, ends, by, inner))
    deep = [st.builds(branched, st.lists(st.tuples(flag, inner), min_size=1, max_size=2), last)]
    return st.one_of(one, one, *choices, *deep)


UNIT = Words(("x", "y", "z", "g.Q", "s.Q1"), ("n", "m", "k"), ("y", "z"), ("m", "k"), ("g",), ("s",))
MAIN = Words(
    flags=("a", "b", "q", "p", "r.Q", "t.Q1", "u.y", "v.y", "o.Q", "l.Q"),
    numbers=("c", "w", "j", "i", "u.m", "v.m"),
    set_flags=("q", "p"),
    set_numbers=("w", "j"),
    edges=("r",),
    latches=("t",),
    units=("u", "v"),
    counters=("i",),
)
TEXT = """FUNCTION choose : BOOL VAR_INPUT x : BOOL; n : INT; END_VAR choose := {function}; END_FUNCTION
FUNCTION_BLOCK unit VAR_INPUT x : BOOL; n : INT; END_VAR VAR_OUTPUT y : BOOL; m : INT; END_VAR
VAR z : BOOL; k : INT; g : R_TRIG; s : SR; END_VAR
{unit}
END_FUNCTION_BLOCK
PROGRAM main VAR_INPUT a, b : BOOL; c : INT; END_VAR VAR_OUTPUT q, p : BOOL; w : INT; END_VAR
VAR i, j : INT; r : R_TRIG; t : RS; u, v : unit; o : TOF; l : TP; END_VAR
{main}
o(IN := {off}, PT := T#50ms); l(IN := {pulse}, PT := T#70ms);
END_PROGRAM
"""
UNIT_BODY = st.lists(statements(UNIT, False), min_size=1, max_size=4).map(in_order)
MAIN_BODY = st.lists(statements(MAIN, True), min_size=3, max_size=8).map(in_order)
FUNCTION = flags(Words(("x",), ("n",), (), ()), False)
FLAG = flags(MAIN, True)
SCANS = st.lists(
    st.tuples(st.integers(1, 40), st.booleans(), st.booleans(), st.integers(-1, 4)), min_size=1, max_size=12
)


@frozen
class Made:
    """A program, and how its parts work."""

    function: Phrase
    unit: Phrase
    main: Phrase
    off: Phrase
    pulse: Phrase

    @property
    def text(self) -> str:
        parts = ("function", "unit", "main", "off", "pulse")
        return TEXT.format(**{name: getattr(self, name)[0] for name in parts})

    def start(self) -> Held:
        """What everything holds at power-up."""
        held: Held = dict.fromkeys(MAIN.flags, False) | dict.fromkeys(MAIN.numbers, 0)
        held |= {"now": 0, "r": Rise(), "t": Latch(first=False), "o": Off(), "l": Pulse()}
        held |= {"choose": self.function[1], "unit": self.unit[1]}
        for name in MAIN.units:
            own: dict[str, Any] = dict.fromkeys(UNIT.flags, False) | dict.fromkeys(UNIT.numbers, 0)
            held[name] = own | {"g": Rise(), "s": Latch(first=True)}
        return held

    def scan(self, held: Held, dt: int, a: bool, b: bool, c: int) -> tuple[bool, bool, int]:
        """One scan; what the outputs are after it."""
        held |= {"now": held["now"] + dt, "a": a, "b": b, "c": c}
        self.main[1](held)
        held["o.Q"] = held["o"].call(held["now"], self.off[1](held), 50)
        held["l.Q"] = held["l"].call(held["now"], self.pulse[1](held), 70)
        return held["q"], held["p"], held["w"]


PROGRAMS = st.builds(Made, FUNCTION, UNIT_BODY, MAIN_BODY, FLAG, FLAG)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(PROGRAMS, SCANS)
def test_block_programs_run_as_the_standard_says(
    made: Made, scans: list[tuple[int, bool, bool, int]]
) -> None:
    run, held = Scanner(read_st(made.text, "x.st")), made.start()
    for dt, a, b, c in scans:
        shown = run.scan(dt, {"a": a, "b": b, "c": c})
        assert (shown["q"], shown["p"], shown["w"]) == made.scan(held, dt, a, b, c)
