"""What may pass the ends of its type is named; what is not named never does."""

from __future__ import annotations

from collections.abc import Mapping

import attrs
import pytest
from hypothesis import given, settings

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.prove.system.bounds.overflow import overflows
from steadfall.scan.interpreter import Scanner
from steadfall.st.read.whole import read_st
from tests.logic.networks import TRACES, networks
from tests.st.foreign.cases import CASES, Case

GIVEN = "VAR_INPUT a : BOOL; n : INT; v : UINT; w : DINT; r : REAL; END_VAR"
MADE = "VAR_OUTPUT q : BOOL; m, k : INT; u : USINT; d, e : DINT; t : TIME; END_VAR"
Trace = list[tuple[int, dict[str, bool | int | float]]]

# Statements over those -> what is named.
PROGRAMS: Mapping[str, set[str]] = {
    "m := n;": set(),
    "m := n + 1;": {"m"},
    "IF n < 100 THEN m := n + 1; END_IF;": set(),
    "IF n < 100 AND n > -100 THEN m := n - 1; ELSE m := 0; END_IF;": set(),
    "IF n <= 100 THEN m := n - 1; END_IF;": {"m"},
    "IF a THEN m := m + 1; END_IF;": {"m"},
    "IF a AND m < 5 THEN m := m + 1; END_IF;": set(),
    "IF a THEN m := m + 1; END_IF; IF m > 5 THEN m := 0; END_IF;": set(),
    "m := m + 1; IF m >= 5 THEN m := 0; END_IF;": set(),
    "IF NOT (a OR (m >= 30_000)) THEN m := m + 1; END_IF;": set(),
    "q := n + n > 5;": {"q"},  # a sum of two INT is worked out as an INT
    "q := w + n > 5;": {"q"},  # in 32 bit: it may pass even that
    "q := n + DINT_TO_INT(w) > 5;": {"DINT_TO_INT", "q"},  # the conversion, and the sum
    "IF w > -1000 AND w < 1000 THEN q := w + n > 5; END_IF;": set(),
    "m := w;": {"m"},
    "m := LIMIT(-5, w, 5);": set(),
    "d := n;": set(),
    "d := n - 1;": {"d"},  # it is worked out before it is widened
    "u := n;": {"u"},
    "q := n > 40_000;": {"q"},  # no number of an INT
    "q := 30_000 + 30_000 > n;": {"q"},  # nor is the sum
    "q := w > 60_000;": set(),
    "t := MUL_TIME(T#10ms, REAL_TO_DINT(r / 10.0));": {"t"},  # a REAL may be more than 32 bit hold
    "t := MUL_TIME(T#10ms, REAL_TO_DINT(LIMIT(0.0, r, 100.0) * 50.0 / 10.0));": set(),
    "u := LIMIT(0, n, 255);": set(),
    "u := SEL(a, 0, 255);": set(),
    "k := n - 1; IF k > 0 THEN m := k; END_IF;": {"k"},
    "q := n = v;": {"q"},  # -1 and 65535 may be one, or not
    "q := v > n - n;": {"q"},
    "d := v + n;": {"d"},
    "q := UINT_TO_DINT(v) > INT_TO_DINT(n);": set(),
    "q := UINT_TO_DINT(v) > n;": set(),
    "q := INT_TO_UINT(n) > v;": {"INT_TO_UINT"},
    "q := INT_TO_UINT(LIMIT(0, n, 9)) > v;": set(),
    "d := n; q := d < v;": set(),
    "d := n; e := v; q := d < e;": set(),
    "IF n >= 0 AND v < 100 THEN q := n > v; END_IF;": set(),
    "IF v < 100 THEN q := n > v; END_IF;": {"q"},
    "k := MAX(0, n); IF v < 100 THEN q := v > k; END_IF;": set(),
    "q := v > 40_000;": set(),
    "CASE n OF 1..9: m := n + 1; k := 10 - n; END_CASE;": set(),
}


def read(body: str) -> Network:
    return read_st(f"PROGRAM x {GIVEN} {MADE}\n{body}\nEND_PROGRAM", "x.st")


@pytest.mark.parametrize("body", PROGRAMS)
def test_what_is_named(body: str) -> None:
    assert {one.signal for one in overflows(read(body))} == PROGRAMS[body]


def test_it_is_told_with_its_line() -> None:
    (found,) = overflows(read("\n\nm := n + 1;"))
    assert found.sentence == "'m' may pass what its type holds, -32768 to 32767 (line 4)"
    assert found.reached == (-32_767, 32_768)


def test_numbers_with_and_without_a_sign_are_told() -> None:
    (found,) = overflows(read("\n\nq := n = v;"))
    both = "of which both hold only 0 to 32767 (line 4)"
    assert found.sentence == f"'q' comes of whole numbers with and without a sign, {both}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_foreign_programs(case: Case) -> None:
    """One of them takes one off an INT input and nothing says that it is not at its end."""
    named = {one.signal for one in overflows(case.network("reference"))}
    assert named == ({"eased"} if case.name == "nested_choice" else set())


@settings(max_examples=150, deadline=None)
@given(networks(), TRACES)
def test_what_is_not_named_stays_within(
    network: Network, trace: list[tuple[int, dict[str, bool | int | float]]]
) -> None:
    ends = (-3, 8)
    inputs = tuple(attrs.evolve(row, holds=ends) if row.type is Type.INT else row for row in network.inputs)
    rows = tuple(
        attrs.evolve(row, holds=ends) if row.type is Type.INT else row for row in network.assignments
    )
    told = Network(inputs, rows, ())
    named, run = {one.signal for one in overflows(told)}, Scanner(told)
    for dt, given_ in trace:
        values = run.scan(dt, given_)
        passed = {row.name for row in rows if row.holds and not ends[0] <= values[row.name] <= ends[1]}
        assert passed <= named
