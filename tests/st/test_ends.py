"""Where a number or a time may pass what its type holds: named with its line, or refused where it must."""

from __future__ import annotations

import pytest

from steadfall.prove.system.bounds.overflow import long_times, overflows
from steadfall.source import PlanError
from steadfall.st.read.whole import read_st
from tests.st.test_reader import program, run

INPUTS = "a : BOOL; n : INT; d : DINT; w : UDINT; s0 : SINT; r : REAL;"
# body -> the signals that are named; `n` is an INT, `d` a DINT, `w` a UDINT, `s0` a SINT
NAMED = {
    "q := INT_TO_USINT(n) > 5;": ["INT_TO_USINT"],
    "q := DINT_TO_INT(d) > 5;": ["DINT_TO_INT"],
    "q := UDINT_TO_DINT(w) > 5;": ["UDINT_TO_DINT"],
    "q := INT_TO_DINT(d) > 5;": ["INT_TO_DINT"],  # its argument is an INT
    "q := INT_TO_USINT(n + 1) > 5 AND n >= 0 AND n < 9;": ["INT_TO_USINT"],
    "IF n >= 0 AND n < 9 THEN m := INT_TO_USINT(n); END_IF;": [],
    "q := INT_TO_DINT(n) > 5;": [],
    "q := SINT_TO_INT(s0) > 5;": [],
    "q := USINT_TO_SINT(INT_TO_USINT(BOOL_TO_INT(a))) > 0;": [],
    "i := d; q := i > 5; i := 0;": ["i"],  # what it held on the way is seen
    "i := s0; q := i > 5; i := 0;": [],
    "q := f(d) > 5;": ["f().f", "f().x"],
}


@pytest.mark.parametrize("body", NAMED)
def test_a_whole_number_that_may_not_fit_is_named(body: str) -> None:
    head = "FUNCTION f : INT VAR_INPUT x : INT; END_VAR f := MIN(x, 7); END_FUNCTION\n"
    network = read_st(head + program(body, "i : INT;", INPUTS), "x.st")
    found = overflows(network)
    assert [one.signal for one in found] == NAMED[body]
    assert all(one.mark.line for one in found)


CONSTANTS = {
    "q := INT_TO_USINT(300) > 5;": "300 is no USINT; expected a whole number from 0 to 255",
    "q := n > DINT_TO_INT(40_000);": "40000 is no INT",
    "q := n > REAL_TO_INT(40000.0);": "40000 is no INT",
    "u := MUL_TIME(T#10ms, REAL_TO_INT(r / 10.0));": "rounded to an INT; expected REAL_TO_DINT",
}


@pytest.mark.parametrize("body", CONSTANTS)
def test_a_constant_that_does_not_fit_is_refused(body: str) -> None:
    with pytest.raises(PlanError, match=r"x\.st:5:\d+") as caught:
        read_st(program(body), "x.st")
    assert CONSTANTS[body] in str(caught.value)


def test_what_fits_is_converted() -> None:
    body = "m := INT_TO_USINT(n) + REAL_TO_INT(2.5) + DINT_TO_INT(7);"
    assert run(program(body), [(0, {"n": 200})], "m") == [209]


def test_a_time_beyond_32_bit_is_named_with_its_line() -> None:
    """T#24d20h31m23s647ms is 2^31 - 1 ms."""
    body = "d(IN := a, PT := T#25d);\nq := d.Q; u := T#24d20h31m23s647ms; p := t > T#-30d;"
    found = long_times(read_st(program(body, "d : TON;"), "x.st"))
    assert sorted((one.ms, one.mark.line) for one in found) == [(-2_592_000_000, 6), (2_160_000_000, 5)]
