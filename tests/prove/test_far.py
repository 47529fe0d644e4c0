"""Runs that jump: faults behind stays of minutes and hours are found; every way is one of single scans."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from attrs import evolve

from steadfall.logic.build.stages import state_names
from steadfall.logic.cone import cone
from steadfall.logic.nodes import Since
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide import portfolio
from steadfall.prove.decide.ask import EFFORT, Ask
from steadfall.prove.decide.by_lemmas import group_of
from steadfall.prove.decide.result import REFUTED, UNKNOWN, Verdict
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs import far
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.replay import replay
from steadfall.prove.system.step import model
from steadfall.roles import Role
from steadfall.runs.json import from_json, steps_json
from steadfall.runs.player import Interpreter
from tests.examples import EXAMPLES
from tests.prove import dwells

MINUTES, HOURS = 300_000, 7_200_000
SEEDS = 20
NARROW = partial(dwells.kept_open, shortest_open_ms=40)  # a scan earlier or later it is not so
FAULTS: tuple[Callable[[int], Plan], ...] = (
    dwells.kept_open,
    NARROW,
    dwells.kept_open_at_the_second,
    dwells.withdrawn,
    dwells.too_early,
)


def verdict(plan: Plan) -> Verdict:
    """Of the stated requirement, by runs that jump alone."""
    of = watched(plan)
    row = next(row for row in of.required if row.name == "stated.1")
    return decide(of, row, Ask(engines=frozenset({far.NAME})), Simulated())


@pytest.mark.parametrize("plan", FAULTS)
def test_a_fault_behind_a_stay_of_minutes_is_replayed(plan: Callable[[int], Plan]) -> None:
    found = verdict(plan(MINUTES))
    assert (found.verdict, found.engine) == (REFUTED, far.NAME)
    assert found.way is not None
    assert found.way.end_ms >= MINUTES
    stored = steps_json(found.way)
    assert len(stored) < 20  # changes, not scans
    of = watched(plan(MINUTES))
    part = cone(of.network, [found.required.bad])
    assert replay(part, from_json(stored), found.required.bad) is not None


@pytest.mark.parametrize("plan", [plan for plan in FAULTS if plan is not NARROW])
def test_a_fault_behind_a_stay_of_hours_is_found(plan: Callable[[int], Plan]) -> None:
    of = watched(plan(HOURS))
    bad = next(row.bad for row in of.required if row.name == "stated.1")
    part = cone(of.network, [bad])
    runs, longest = rig(of.plan, part), of.plan.scan.longest_ms
    way = far.far(runs, model(part, longest, single=True), bad, power_cut=False)
    assert way is not None
    assert runs.fast.first(way, [bad]) == [len(way) - 1]
    assert way.end_ms >= HOURS
    assert way.dts_ms.max() <= longest


@pytest.mark.parametrize("name", ["barrel", "press"])  # an oven stays too long in each
def test_made_up_runs_come_to_every_stage(name: str) -> None:
    """Of a ramp too: it asks where it has fallen as far as it does, and its sensor reads what it can."""
    plan = read_file(EXAMPLES[name])
    of = watched(plan)
    runs, signals = rig(plan, of.network), of.network.named(Role.STAGE)
    stages = np.concatenate([runs.fast.columns(stimuli(runs, seed), signals) for seed in range(SEEDS)])
    for circuit, column in zip(plan.circuits, stages.T, strict=True):
        assert set(column.tolist()) == set(range(len(state_names(plan.type_of(circuit)))))


def test_a_moment_of_one_scan_behind_hours_is_found_with_more_effort(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each run meets it by chance; what `--effort` adds is more of them."""
    of = watched(NARROW(HOURS - 10_000))
    row = next(row for row in of.required if row.name == "stated.1")
    tried = list[int]()

    def tries(_: Watched, __: str, steps: int = far.STEPS) -> None:
        tried.append(steps)

    monkeypatch.setattr(portfolio, "far_on", tries)
    for times in (1, 2):
        ask = Ask(effort=times * EFFORT, engines=frozenset({far.NAME}))
        portfolio.settle(of, row, row.bad, ask, Budget(ask.effort))
    assert tried == [far.STEPS, 2 * far.STEPS]
    part = cone(of.network, [row.bad])
    runs, single = rig(of.plan, part), model(part, of.plan.scan.longest_ms, single=True)
    ways = [far.far(runs, single, row.bad, power_cut=False, steps=steps) for steps in tried]
    assert ways[0] is None
    assert ways[1] is not None
    assert runs.fast.first(ways[1], [row.bad]) == [len(ways[1]) - 1]


def test_nothing_is_found_where_nothing_is_wrong() -> None:
    assert verdict(dwells.kept_open(MINUTES, shortest_open_ms=0)).verdict == UNKNOWN


@pytest.mark.parametrize("power_cut", [False, True])
def test_a_way_comes_to_where_single_scans_come(power_cut: bool) -> None:
    plan = read_file(EXAMPLES["press"])
    of = watched(plan, faults=read_faults(plan, ["power cut"] if power_cut else []))
    part = group_of(of, "upper", [row for row in of.required if row.circuit == "upper"]).part
    runs = evolve(rig(of.plan, part), follows={"upper.flood_is_open": "upper.flood"})
    system = model(part, of.plan.scan.longest_ms, power_cut=power_cut, single=True)
    goal = next(row.bad for row in of.required if row.name == "upper.mist.at_rest")
    search = far.Search.of(runs, system, goal, power_cut, 60_000)
    assert next(search.ways(), None) is None
    scanned = [spot for spot in search.spots if spot.made and not spot.made.offs[-1:].any()]
    spots, cut = sorted(scanned, key=lambda spot: spot.at_ms)[::14][:5], 0
    assert spots[-1].at_ms > 10_000
    for spot in spots:
        run = far.run_of(runs, spot)
        assert run.end_ms == spot.at_ms
        cut += len(run.cuts)
        *_, last = Interpreter(part).play(run)
        names = [row.name for row in part.assignments if not isinstance(row.node, Since)]
        shown = {name: runs.fast.program.where[name] for name in names}
        kept = {name: getattr(spot.memory, kind)[place] for name, (kind, place) in shown.items()}
        same = {name: last.values[name] for name in kept}
        assert {n: (v, same[n]) for n, v in kept.items() if v != same[n]} == {}
    assert bool(cut) == power_cut
