"""What the second solver is asked says what a scan does, and the prover's formula has no part in it."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Constant, Node, Type, Value
from steadfall.logic.types import walk
from steadfall.prove.checker.nodes import literal
from steadfall.prove.checker.scan import Asked, Step
from steadfall.prove.decide.certificate import Certificate, script
from steadfall.prove.engines import recheck
from steadfall.prove.solver import terms
from steadfall.prove.system.kept import STARTED, age, elapsed, last, lasting, state
from steadfall.prove.system.meaning import MEANING
from steadfall.prove.system.step import model
from steadfall.roles import observer
from steadfall.scan.interpreter import Scanner
from tests.logic.networks import networks
from tests.prove.test_second_reading import any_state
from tests.why.test_least import any_value

CHANCE = st.integers(0, 2**32).map(random.Random)
A, R = nodes.Read("a", Type.BOOL), nodes.Read("r", Type.REAL)
Parts = Mapping[str, Value]


def kept(scanner: Scanner) -> dict[str, Value]:
    """The state of the interpreter by the keys of the checker's text."""
    network = scanner.network
    found: dict[str, Value] = {STARTED: not scanner.first}
    found |= {last(name): scanner.values[name] for name in lasting(network)}
    for row in network.assignments:
        if isinstance(row.node, nodes.Since):
            found[age(row.name)] = 0 if scanner.values[row.node.event] else scanner.values[row.name]
        elif row.is_block and row.name in scanner.clocks:
            clock, two = scanner.clocks[row.name], isinstance(row.node, nodes.Ton | nodes.Rise | nodes.Fall)
            found[state(row.name)] = bool(clock.state) if two else clock.state
            if isinstance(row.node, nodes.TIMERS):
                found[elapsed(row.name)] = clock.et
    return found


def number(value: Value) -> Value:
    return value if math.isfinite(value) else 1.5


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(networks(), CHANCE)
def test_the_text_allows_what_the_interpreter_does(network: Network, chance: random.Random) -> None:
    """And nothing else, where nothing is rounded and no constant is infinite or not a number."""
    constants = [one.value for row in network.assignments for one in walk(row.node) if type(one) is Constant]
    if not all(map(math.isfinite, constants)):
        return
    scanner = any_state(network, chance)
    scanner.values = {name: number(value) for name, value in scanner.values.items()}
    before, ms = kept(scanner), chance.choice([1, 10, 30, 2**40])
    inputs = {
        row.name: chance.randint(*row.holds) if row.holds else number(any_value(row.type, chance))
        for row in network.inputs
    }
    scanner.scan(ms, inputs)
    shown, after = dict(scanner.values), kept(scanner)
    if not all(map(math.isfinite, [*after.values(), *shown.values()])):
        return  # an overflow: what is not a number is not considered
    of = Asked(network, 2**40)
    step = Step(of)
    keys = of.state
    lines = [
        "(set-logic QF_LIRA)",
        *(f"(declare-const |{key}| {one.sort})" for key, one in keys.items()),
        *step.lines,
        *(f"(assert (= |{key}| {literal(before[key])}))" for key in keys),
        *(f"(assert (= {step.page.now(name)} {literal(value)}))" for name, value in inputs.items()),
        f"(assert (= dt {ms}))",
    ]
    ends = [f"(= {step.page.now(name)} {literal(shown[name])})" for name in network.types]
    ends += [f"(= {term} {literal(after[key])})" for key, term in zip(keys, step.after, strict=True)]
    same = f"(and {' '.join(ends)})"
    lines += [f"(push 1) (assert {one}) (check-sat) (pop 1)" for one in (same, f"(not {same})")]
    others = "sat" if any("made" in line for line in step.lines) else "unsat"
    said = recheck.answers("\n".join(lines))
    assert said[0] == "sat"
    assert said[1] == "unsat" or others == "sat"


def one(node: Node, *rows: Assignment) -> Network:
    given = (Input("a", Type.BOOL), Input("r", Type.REAL))
    return Network(given, (*rows, Assignment("bad", Type.BOOL, node, False)), ())


def _false(_: Any, run: Any) -> Any:
    return run.space.value(False)


OFTEN = nodes.Or((A, nodes.Previous("a", Type.BOOL)))
SHARE = nodes.Multiply(
    nodes.Limit(nodes.Constant(0.0, Type.REAL), R, nodes.Constant(100.0, Type.REAL)),
    nodes.Constant(0.5, Type.REAL),
)
TIMED = nodes.Compare(">", nodes.ToTime(SHARE, 10), nodes.Constant(40, Type.TIME))
WRONG: Mapping[str, tuple[type[Node], Callable[[Any, Any], Any], Network]] = {
    "an or": (nodes.Or, _false, one(OFTEN)),
    "an edge": (
        nodes.Fall,
        _false,
        one(nodes.Read("f", Type.BOOL), Assignment("f", Type.BOOL, nodes.Fall(A), False)),
    ),
    "a share": (nodes.ToTime, lambda _, run: run.space.value(0), one(TIMED)),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_mistake_of_the_formula_is_found(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the prover takes for impossible by its mistake is not confirmed."""
    kind, meaning, network = WRONG[name]
    monkeypatch.setitem(MEANING, kind, meaning)
    part = model(network, 20)
    assert terms.is_false(terms.simplify(part.values["bad"]))
    assert recheck.answers(script(part, ["bad"], Certificate("true"))) == ["unsat", "unsat", "sat"]


@pytest.mark.parametrize(("op", "ms", "never"), [("<", 0, True), ("<", 10, False), (">", 50, True)])
def test_a_share_may_be_anything_within_its_ends(op: str, ms: int, never: bool) -> None:
    met = nodes.Compare(op, nodes.ToTime(SHARE, 10), nodes.Constant(ms, Type.TIME))
    assert recheck.holds(script(model(one(met), 20), ["bad"], Certificate("true"))) is never


def test_a_power_cut_spares_what_watches_alone() -> None:
    """A latch of the controller falls, one that watches it does not."""
    latch = nodes.SetDominant(A, nodes.Constant(False, Type.BOOL))
    seen = nodes.SetDominant(nodes.Read("m", Type.BOOL), nodes.Constant(False, Type.BOOL))
    missed = nodes.And((nodes.Read("o", Type.BOOL), nodes.Not(nodes.Read("m", Type.BOOL))))
    rows = (
        Assignment("m", Type.BOOL, latch, False),
        Assignment("o", Type.BOOL, seen, False, identity=observer("o").identity),
    )
    certificate = Certificate("(=> |last:o| |last:m|)")
    assert recheck.holds(script(model(one(missed, *rows), 20), ["bad"], certificate))
    part = model(one(missed, *rows), 20, power_cut=True)
    for cut in (False, True):
        said = recheck.answers(script(part, [] if cut else ["bad"], certificate, cut=cut))
        assert said == ["unsat", "sat", "unsat"]
