"""The compiled scan gives the interpreter's values, bit for bit, on random networks and traces."""

import inspect
from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import BLOCKS, NODE_CLASSES, Not, Previous, Read, Type, Value
from steadfall.logic.types import TYPES
from steadfall.scan import instructions, interpreter, kernel, opcodes
from tests.logic.networks import TRACES, networks
from tests.scan.agreement import assert_agree

Trace = list[tuple[int, dict[str, Value]]]
RANDOM = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


@settings(RANDOM, max_examples=200)
@given(networks(), TRACES)
def test_random_networks(network: Network, trace: Trace) -> None:
    assert_agree(network, trace)


@pytest.mark.slow
@settings(RANDOM, max_examples=150)
@given(networks(), TRACES)
def test_many_random_networks(network: Network, trace: Trace) -> None:
    assert_agree(network, trace)


def test_what_was_computed_from_the_last_value_is_not_taken_for_the_new_one() -> None:
    """The same expression above and below the assignment of the signal that it reads."""
    rows = (
        Assignment("above", Type.BOOL, Not(Previous("x", Type.BOOL)), False),
        Assignment("x", Type.BOOL, Read("in", Type.BOOL), False),
        Assignment("below", Type.BOOL, Not(Read("x", Type.BOOL)), False),
        Assignment("last", Type.BOOL, Not(Previous("x", Type.BOOL)), False),
    )
    network = Network((Input("in", Type.BOOL),), rows, ())
    assert_agree(network, [(10, {"in": value}) for value in (True, True, False, False, True)])


@settings(RANDOM, max_examples=60)
@given(networks(), TRACES)
def test_random_networks_uncompiled(network: Network, trace: Trace) -> None:
    """The kernels are plain Python too."""
    names = ["scan_once", "_place", "_block", "_ton", "_tof", "_tp", "_real", "_steps"]
    with np.errstate(all="ignore"), pytest.MonkeyPatch.context() as patch:
        for name in names:
            patch.setattr(kernel, name, getattr(kernel, name).py_func)
        patch.setattr("tests.scan.machine.scan_once", kernel.scan_once)
        assert_agree(network, trace)


@pytest.mark.parametrize(
    ("table", "rows"),
    [
        (TYPES, set(NODE_CLASSES)),
        (interpreter.MEANING, set(NODE_CLASSES)),
        (instructions.EXPRESSIONS, set(NODE_CLASSES) - set(BLOCKS)),
        (instructions.BLOCKS, set(BLOCKS)),
    ],
    ids=["types", "interpreter", "expressions of the fast scan", "blocks of the fast scan"],
)
def test_every_reader_has_a_row_for_every_node_class(table: Mapping[type, object], rows: set[type]) -> None:
    assert set(table) == rows


def test_every_instruction_is_done_by_the_kernel() -> None:
    source = inspect.getsource(kernel)
    numbers = {
        name: value for name, value in vars(opcodes).items() if name.isupper() and isinstance(value, int)
    }
    actions = {name for name in numbers if name not in ("LAST_BLOCK", "FIRST_SCAN_DONE")}
    assert len({numbers[name] for name in actions}) == len(actions)
    # TP is what remains of the blocks when all others are told apart.
    assert {name for name in actions if f"op.{name}:" not in source} == {"TP"}
