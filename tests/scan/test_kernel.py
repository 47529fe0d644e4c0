"""The compiled scan within another compiled loop, as a prediction uses it; its registers; its refusals."""

from __future__ import annotations

from typing import Any

import pytest

from steadfall.compiled import kernel
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import LARGEST
from steadfall.scan.interpreter import Scanner
from steadfall.scan.kernel import MOST_STEPS, scan_once
from steadfall.scan.program import compile_network, fresh
from tests.logic.plans import large, plan
from tests.scan.machine import Machine


@kernel
def scans(code: Any, ints: Any, reals: Any, dt_ms: int, count: int) -> None:
    for _ in range(count):
        scan_once(code, ints, reals, dt_ms)


def test_a_compiled_loop_scans_and_reads_registers() -> None:
    network = build(large())
    program = compile_network(network)
    registers = fresh(program)
    inputs = {"full_call": 1, "air_ok": 1, "demand": 55.0}
    for name, value in inputs.items():
        kind, place = program.register(name)
        getattr(registers, kind)[place] = value
    scans(
        program.code, *registers, 100, 1301
    )  # 130 s: by 45, 45 and 30 s through three stages, and one scan later on, for 50 % has held
    meaning = Scanner(network)
    values = meaning.scan(100, {"full_call": True, "air_ok": True, "demand": 55.0})
    for _ in range(1300):
        values = meaning.scan(100, {})
    for name in network.types:
        kind, place = program.register(name)
        assert getattr(registers, kind)[place] == values[name], name
    assert values["upper.stage"] == 5


def test_a_program_is_not_changed_by_its_runs() -> None:
    program = compile_network(build(plan()))
    before = fresh(program)
    registers = fresh(program)
    scans(program.code, *registers, 20, 10)
    assert (program.ints == before.ints).all()
    assert (registers.ints != before.ints).any()


def test_a_plan_of_two_circuits_and_five_stages_is_some_two_hundred_instructions() -> None:
    assert len(compile_network(build(large())).code) < 220


def test_the_largest_number_of_steps_is_the_largest_whole_number() -> None:
    assert MOST_STEPS == LARGEST


@pytest.mark.parametrize("reader", [Scanner, Machine])
def test_unknown_inputs_and_impossible_times_are_refused(reader: type[Scanner] | type[Machine]) -> None:
    network = Network((), (), ())
    with pytest.raises(KeyError, match="not an input"):
        reader(network).scan(10, {"x": True})
    for dt in (-1, LARGEST + 1):
        with pytest.raises(ValueError, match="no scan can follow"):
            reader(network).scan(dt, {})
