"""Interpreter, formula of a step and a second reading of docs/logic.md do the same: from the start, from
random states, and from states at which a proof by one step alone fails.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Mapping
from typing import Any

from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadfall.logic import nodes
from steadfall.logic.cone import cone
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import NODE_CLASSES, Type, Value
from steadfall.prove.requirements.whole import watched
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.bounds.intervals import of_input
from steadfall.prove.system.kept import SETTLED, STARTED, Part
from steadfall.prove.system.slots import Slot
from steadfall.prove.system.step import Model, model
from steadfall.scan.interpreter import ON, OUT, REST, TIMING, Clock, Scanner
from tests.logic.networks import TRACES, networks
from tests.prove.plans import demo
from tests.prove.second_reading import BLOCKS, EXPRESSIONS, Memory, Timer, scan, start
from tests.prove.small import LONGEST, small
from tests.why.test_least import any_clock, any_value

CHANCE = st.integers(0, 2**32).map(random.Random)  # its own numbers: those drawn one by one would be too tame
MANY: Mapping[str, Any] = {"deadline": None, "suppress_health_check": list(HealthCheck)}
PHASES = {REST: "", ON: "on", TIMING: "running", OUT: "over"}
ASKED = 24  # requirements, of which a state is looked for that one step leads out of


def same(a: Value, b: Value) -> bool:
    return (a == b and isinstance(a, bool) == isinstance(b, bool)) or (a != a and b != b)  # noqa: PLR0124


def timer_of(node: nodes.Node, clock: Clock) -> Timer:
    """What the interpreter keeps, in the words of the second reading."""
    phase = "running" if isinstance(node, nodes.Ton) and clock.state == ON else PHASES[clock.state]
    return Timer(clock.et, phase)


def memory_of(scanner: Scanner) -> Memory:
    rows = {row.name: row.node for row in scanner.network.assignments}
    timers = {
        name: timer_of(rows[name], clock)
        for name, clock in scanner.clocks.items()
        if isinstance(rows[name], nodes.TIMERS)
    }
    saw = {
        name: bool(clock.state) == isinstance(rows[name], nodes.Rise)
        for name, clock in scanner.clocks.items()
        if isinstance(rows[name], nodes.Rise | nodes.Fall)
    }
    return Memory(dict(scanner.values), timers, saw, scanner.first)


def any_state(network: Network, chance: random.Random) -> Scanner:
    """The interpreter in a state by chance, whether it can be reached or not."""
    scanner = Scanner(network)
    scanner.first = False
    scanner.values = {name: any_value(kind, chance) for name, kind in network.types.items()}
    for row in network.assignments:
        if isinstance(row.node, nodes.Since):
            scanner.values[row.name] = chance.randint(0, row.node.limit_ms)
        if row.is_block and not isinstance(row.node, nodes.Since | nodes.SetDominant | nodes.ResetDominant):
            scanner.clocks[row.name] = any_clock(row.node, chance)
    return scanner


def test_every_word_is_read_a_second_time() -> None:
    assert {*EXPRESSIONS, *BLOCKS} == set(NODE_CLASSES)


@settings(max_examples=150, **MANY)
@given(networks(), TRACES)
def test_from_the_start_it_does_what_the_interpreter_does(
    network: Network, scans: list[tuple[int, dict[str, Value]]]
) -> None:
    scanner, memory = Scanner(network), start(network)
    assert memory == memory_of(scanner)
    for ms, inputs in scans:
        scanner.scan(ms, inputs)
        memory = scan(network, memory, ms, inputs)
        alike(memory, memory_of(scanner))


@settings(max_examples=150, **MANY)
@given(networks(), CHANCE)
def test_from_random_states_it_does_what_the_interpreter_does(
    network: Network, chance: random.Random
) -> None:
    scanner = any_state(network, chance)
    memory = memory_of(scanner)
    inputs = {row.name: any_value(row.type, chance) for row in network.inputs}
    ms = chance.choice([0, 1, 10, 30, 2**40])
    scanner.scan(ms, inputs)
    alike(scan(network, memory, ms, inputs), memory_of(scanner))


def alike(a: Memory, b: Memory) -> None:
    assert a.last.keys() == b.last.keys()
    assert all(same(a.last[name], b.last[name]) for name in a.last)
    assert (a.timers, a.saw) == (b.timers, b.saw)


@settings(max_examples=120, **MANY)
@given(small(), CHANCE)
def test_from_random_states_the_formula_of_a_step_does_the_same(
    network: Network, chance: random.Random
) -> None:
    """Also that the step is among those that there are."""
    for part in (model(network, LONGEST), model(network, LONGEST, single=True)):
        memory = within(memory_of(any_state(network, chance)), part, chance)
        inputs = {row.name: chance.choice(values(row.holds)) for row in network.inputs}
        ms = chance.randint(1, LONGEST)
        steps_alike(part, memory, ms, inputs, {})


def test_an_index_below_0_or_past_the_end_is_read_the_same() -> None:
    """By every index that an input may give, of entries of each kind and as many as may be."""
    ends, index = (-3, 5), nodes.Read("n", Type.INT)
    entries: Mapping[Type, tuple[Value, ...]] = {
        Type.BOOL: (True, False),
        Type.INT: (7, 8, 9),
        Type.TIME: (3,),
    }
    rows = tuple(
        Assignment(kind.name, kind, nodes.Mux(index, tuple(nodes.Constant(one, kind) for one in row)), row[0])
        for kind, row in entries.items()
    )
    network = Network((Input("n", Type.INT, holds=ends),), rows, ())
    for part in (model(network, LONGEST), model(network, LONGEST, single=True)):
        for here in range(ends[0], ends[1] + 1):
            scanner = Scanner(network)
            memory = evolve(memory_of(scanner), first=False)
            after = steps_alike(part, memory, 1, {"n": here}, {})
            shown = {kind.name: row[min(max(here, 0), len(row) - 1)] for kind, row in entries.items()}
            assert after.last == {"n": here, **shown}


def values(holds: tuple[int, int] | None) -> list[Value]:
    return list(range(holds[0], holds[1] + 1)) if holds else [False, True]


def within(memory: Memory, part: Model, chance: random.Random) -> Memory:
    """Without what no scan leaves: numbers and counts beyond their ends."""
    last, timers = dict(memory.last), dict(memory.timers)
    last |= {row.name: chance.choice(values(row.holds)) for row in part.network.inputs}
    for slot in part.slots:
        if slot.part is Part.ELAPSED:
            kept = timers[slot.name]
            timers[slot.name] = evolve(kept, ms=int(min(kept.ms, slot.high)))
        elif slot.part is Part.LAST and not isinstance(last[slot.name], bool):
            last[slot.name] = int(min(max(last[slot.name], slot.low), slot.high))
    return evolve(memory, last=last, timers=timers)


def steps_alike(
    part: Model, memory: Memory, ms: int, inputs: Mapping[str, Value], places: Mapping[str, bool]
) -> Memory:
    """A scan by the second reading and by the formula; what it leaves."""
    network = part.network
    after = scan(network, memory, ms, inputs)
    known = {slot.key: of_slot(slot, network, memory) for slot in part.slots}
    named = {str(symbol): inputs[name] for name, symbol in part.named.items()}
    given = {**known, **named, **places, "dt": ms}
    pairs = [(one, part.space.value(given[str(one)])) for one in [*part.state, *part.inputs]]
    settled = terms.substitute(terms.And(part.allowed, part.ends), *pairs)
    assert terms.is_true(terms.simplify(settled))
    for slot, term in zip(part.slots, part.after, strict=True):
        if slot.key != SETTLED:
            found = number(terms.simplify(terms.substitute(term, *pairs)))
            shown = ended(part, slot.name, found) if slot.part is Part.AGE else found
            assert shown == of_slot(slot, network, after), slot.key
    for name, term in part.values.items():
        found = number(terms.simplify(terms.substitute(term, *pairs)))
        assert ended(part, name, found) == after.last[name], name
    return after


def of_slot(slot: Slot, network: Network, memory: Memory) -> Value:
    """A part of the solver's state, from what the second reading remembers."""
    node = next((row.node for row in network.assignments if row.name == slot.name), None)
    found: Value
    if slot.key in (STARTED, SETTLED):
        found = slot.key == STARTED and not memory.first
    elif slot.part is Part.LAST:
        found = memory.last[slot.name]
    elif isinstance(node, nodes.Since):
        found = 0 if memory.last[node.event] else memory.last[slot.name]
    elif isinstance(node, nodes.Rise | nodes.Fall):
        found = memory.saw[slot.name] == isinstance(node, nodes.Rise)
    elif slot.part is Part.ELAPSED:
        found = memory.timers[slot.name].ms
    else:
        phase = memory.timers[slot.name].phase
        states = {phase: state for state, phase in PHASES.items()}
        found = bool(phase) if isinstance(node, nodes.Ton) else states[phase]
    return found


def ended(part: Model, name: str, found: Value) -> Value:
    """A clock that counts on past its end in the formula, at its end."""
    rows = {row.name: row.node for row in part.network.assignments}
    clocks = {slot.name: slot.high for slot in part.slots if slot.part is Part.AGE}
    node = rows.get(name)
    free = isinstance(node, nodes.Since) and math.isinf(clocks[name])
    return min(found, node.limit_ms) if free and isinstance(node, nodes.Since) else found


def number(term: Any) -> Value:
    assert terms.is_true(term) or terms.is_false(term) or terms.is_int_value(term), term
    return terms.is_true(term) if terms.is_bool(term) else int(term.as_long())


def test_states_that_a_step_leads_out_of_are_the_same_to_all_three() -> None:
    """Where nothing is known but the ends of each clock, a step from a state that nobody reaches breaks most
    requirements: the formula, the second reading and the interpreter must agree on that step.
    """
    of = watched(demo())
    met = 0
    for required in of.required[:: max(1, len(of.required) // ASKED)]:
        part = model(cone(of.network, [required.bad]), of.plan.scan.longest_ms, single=True)
        asked = Solver(part.space)
        bad = part.values[required.bad]
        if asked.ask(Budget(5_000_000), part.ends, part.allowed, part.pre[STARTED], bad) is Answer.YES:
            replayed(part, asked.example(), required.bad)
            met += 1
    assert met >= ASKED // 2


def replayed(part: Model, found: Any, bad: str) -> None:
    """The solver's step, by the second reading and by the interpreter."""
    network = part.network

    def value(symbol: Any) -> Value:
        return number(found.eval(symbol, model_completion=True))

    memory = reading_of(part, {slot.key: value(part.pre[slot.key]) for slot in part.slots})
    inputs = {name: value(symbol) for name, symbol in part.named.items()}
    places = {str(symbol): bool(value(symbol)) for symbol in part.places.variables()}
    inputs |= {
        row.name: part.places.value(of_input(row.name), lambda place: places[str(place)])
        for row in network.inputs
        if of_input(row.name) in part.places.spans
    }
    for row in network.inputs:
        inputs.setdefault(row.name, 0.0)
    ms = int(value(part.dt))
    after = steps_alike(part, memory, ms, inputs, places)
    assert after.last[bad] is True
    scanner = scanner_of(network, memory)
    assert scanner.scan(ms, inputs)[bad] is True


def reading_of(part: Model, known: Mapping[str, Value]) -> Memory:
    """What the second reading remembers in a state of the solver."""
    begun = start(part.network)
    last, timers, saw = dict(begun.last), dict(begun.timers), dict(begun.saw)
    for row in part.network.assignments:
        name, node = row.name, row.node
        if isinstance(node, nodes.Since):
            last[name] = min(int(known[f"age:{name}"]), node.limit_ms)
            last.setdefault(node.event, False)
        if name in saw:
            saw[name] = bool(known[f"state:{name}"]) == isinstance(node, nodes.Rise)
        if name in timers:
            state = known[f"state:{name}"]
            phase = ("running" if state else "") if isinstance(node, nodes.Ton) else PHASES[int(state)]
            timers[name] = Timer(int(known[f"et:{name}"]), phase)
    last |= {slot.name: known[slot.key] for slot in part.slots if slot.part is Part.LAST}
    for event in events(part.network):
        if f"last:{event}" not in known:
            last[event] = False
    return Memory(last, timers, saw)


def events(network: Network) -> Iterable[str]:
    return {row.node.event for row in network.assignments if isinstance(row.node, nodes.Since)}


def scanner_of(network: Network, memory: Memory) -> Scanner:
    scanner = Scanner(network)
    scanner.first = memory.first
    scanner.values = dict(memory.last)
    rows = {row.name: row.node for row in network.assignments}
    for name, timer in memory.timers.items():
        ton = isinstance(rows[name], nodes.Ton)
        states = {phase: state for state, phase in PHASES.items()}
        scanner.clocks[name] = Clock(timer.ms, int(bool(timer.phase)) if ton else states[timer.phase])
    for name, on in memory.saw.items():
        scanner.clocks[name] = Clock(0, int(on == isinstance(rows[name], nodes.Rise)))
    return scanner
