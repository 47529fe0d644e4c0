"""Of ways with as few steps the quickest, and nothing in it that need not be."""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from itertools import count

import attrs
from hypothesis import HealthCheck, assume, given, settings

from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import And, Compare, Constant, Node, Read, Ton, Type, Value
from steadfall.plan.model import Fault, Never
from steadfall.plan.model.condition import And as Both
from steadfall.plan.model.condition import InStage, Signal
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import REFUTED
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.engines import bounded
from steadfall.prove.explain.events import cuts, events
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.whole import watched
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.replay import expand, replay
from steadfall.prove.system.step import model
from steadfall.prove.system.usual import usual
from steadfall.runs.run import Run
from steadfall.scan.interpreter import Scanner
from tests.prove.plans import guarded
from tests.prove.small import LONGEST, shortest_break, small
from tests.runs.made import Scan

MANY = {"deadline": None, "suppress_health_check": list(HealthCheck)}
STEP = 40  # ms, the longest scan of the networks below


def held(preset_ms: int, *others: Node) -> Network:
    """Broken once `button` has held for a time, and `others` hold."""
    button, other = Read("button", Type.BOOL), Read("temperature", Type.REAL)
    rows = (
        Assignment("held", Type.BOOL, Ton(button, Constant(preset_ms, Type.TIME)), False),
        Assignment("hot", Type.BOOL, Compare(">", other, Constant(90.0, Type.REAL)), False),
        Assignment("bad", Type.BOOL, And((Read("held", Type.BOOL), *others)), False),
    )
    names = (Input("button", Type.BOOL), Input("idle", Type.BOOL), Input("temperature", Type.REAL))
    return Network(names, rows, ())


def way(network: Network, shorten: int, longest: int = STEP) -> tuple[Run, int]:
    part = model(network, longest)
    found, depth = bounded.search(part, part.values["bad"], 40, Budget(40_000_000), shorten=shorten)
    assert found is not None
    return expand(found.steps, longest), depth


def test_a_time_that_is_waited_for_is_waited_for_no_longer() -> None:
    for preset in (1, 39, 40, 41, 100, 2500):
        run, _ = way(held(preset), 10_000_000)
        assert run.end_ms == preset


@settings(max_examples=25, **MANY)  # type: ignore[arg-type]
@given(small())
def test_never_quicker_than_trying_everything_and_never_slower_than_found(network: Network) -> None:
    wanted = shortest_break(network, 150)
    assume(wanted is not None and wanted != -1)
    first, depth = way(network, 0, LONGEST)
    quick, same = way(network, 10_000_000, LONGEST)
    assert same == depth
    assert replay(network, quick, "bad") is not None
    assert least_time(network) <= quick.end_ms <= first.end_ms


def least_time(network: Network) -> int:
    """The least time to a violation in any number of scans, by trying everything in the order of time."""
    names = [row.name for row in network.inputs]
    number = count()
    todo: list[tuple[int, int, list[Scan]]] = [(0, next(number), [])]
    seen = set[str]()
    choices = [
        {name: bool(bits >> place & 1) for place, name in enumerate(names)} for bits in range(2 ** len(names))
    ]
    if any(row.type is not Type.BOOL for row in network.inputs):
        return 0  # a whole number among the inputs: the bound is not asked
    while todo:
        time, _, scans = heapq.heappop(todo)
        run = Scanner(network)
        values: Mapping[str, Value] = {}
        for dt, inputs in scans:
            values = run.scan(dt, inputs)
        if values.get("bad"):
            return time
        state = repr(
            (sorted(run.values.items()), sorted((k, v.et, v.state) for k, v in run.clocks.items()), run.first)
        )
        if state in seen:
            continue
        seen.add(state)
        for dt in range(1, LONGEST + 1) if scans else (0,):
            for inputs in choices:
                heapq.heappush(todo, (time + dt, next(number), [*scans, (dt, inputs)]))
    raise AssertionError("nothing breaks it")


def test_a_violation_names_only_what_it_takes() -> None:
    item = Never(Both((Signal("upper.mist"), InStage("upper", "dosing"))), "")
    of = watched(guarded(item))
    verdict = decide(of, of.required[0], Ask(effort=40_000_000), Simulated())
    assert (verdict.verdict, verdict.required.stated) == (REFUTED, True)
    assert verdict.way is not None
    ordinary = usual(of.plan)
    inputs = verdict.way.inputs.items()
    moved = {name for name, row in inputs if any(value != ordinary.get(name) for _, value in row.pairs())}
    assert "air_ok" in moved  # the permissive, which this plan says is off as usual
    assert len(moved) == 2  # and what calls
    begins = events(verdict.way, sorted(moved), {})[0]
    assert (begins.at_ms, begins.text[:12]) == (0, "begins with ")


def test_a_power_cut_is_told_and_lasts_long_enough_to_be_seen() -> None:
    plan = attrs.evolve(guarded(shortest_open_ms=50, shortest_shut_ms=50), faults=(Fault("power cut"),))
    from_cut = watched(plan, None, read_faults(plan, ["power cut"]))
    row = next(one for one in from_cut.required if one.name == "upper.mist.shortest_shut")
    verdict = decide(from_cut, row, Ask(effort=40_000_000), Simulated())
    assert verdict.way is not None
    ((fails, back),) = cuts(verdict.way)
    assert back - fails >= plan.scan.longest_ms
    told = [event.text for event in events(verdict.way, [], {}) if event.at_ms == fails]
    assert f"power fails, back after {back - fails} ms" in told
