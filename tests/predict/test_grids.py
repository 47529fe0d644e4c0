"""Finer grids beside a prediction: what they are, that they are told, and that the verdict hangs on them."""

from __future__ import annotations

import pytest
from attrs import evolve

from steadfall.app.predict import How
from steadfall.app.predict import predict as use
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.predict.grids import finer, predict_resolved
from steadfall.predict.outcome.judge import furthest, judged
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.outcome.verdict import FinerGrid, Verdict
from steadfall.predict.run import fine, predict
from steadfall.progress import Cancelled, Progress
from steadfall.source import AskError
from tests.cli.described import wrong_result
from tests.examples import EXAMPLES

FEW = Settings(cells=5, scan_ms=20)


def short(plan: Plan) -> Plan:
    """The plan with a scenario of one minute in place of its own."""
    first = evolve(next(iter(plan.scenarios.values())), name="a minute", until_ms=60_000)
    return evolve(plan, scenarios={"a minute": first})


@pytest.fixture(scope="module")
def plan() -> Plan:
    return short(read_file(EXAMPLES["barrel"]))


@pytest.fixture(scope="module")
def found(plan: Plan) -> Prediction:
    return predict_resolved(plan, "a minute", FEW)


def test_four_times_the_cells_and_a_quarter_of_the_step() -> None:
    cells, steps = finer(Settings(cells=20, scan_ms=20))
    assert (cells.cells, cells.step) == (80, 0.020)
    assert (steps.cells, steps.step) == (20, 0.005)
    assert cells.scan_ms == steps.scan_ms == 20


def test_each_figure_is_that_of_the_same_run_alone(plan: Plan, found: Prediction) -> None:
    alone = predict(plan, "a minute", FEW)
    runs = [predict(plan, "a minute", one) for one in finer(FEW)]
    assert (
        found.trace.tracks["zone_steel"].values.tolist() == alone.trace.tracks["zone_steel"].values.tolist()
    )
    assert [(grid.cells, grid.step) for grid in found.finer] == [(20, 0.02), (5, 0.005)]
    for i, row in enumerate(found.limits):
        others = [one.limits[i].worst for one in runs]
        assert row.finer is not None
        assert row.finer.value in others
        if row.worst is not None:
            gaps = [abs(other - row.worst) for other in others if other is not None]
            assert abs((row.finer.value or 0.0) - row.worst) == max(gaps)
    told = found.as_json()
    assert told == judged(alone, runs).as_json()
    assert wrong_result(told, "prediction") == []
    assert alone.as_json()["finer"] == []


def test_the_verdict_hangs_on_the_finer_grids(found: Prediction) -> None:
    """The same figures, held against bounds that lie between them, beyond them, and far from them."""
    row = next(one for one in found.limits if one.limit.of == "zone_3.wall_shock")
    assert row.worst is not None
    finer_ = evolve(found, limits=(evolve(row, worst=row.worst + 10.0),))

    def told(bound: float) -> Verdict:
        limit = evolve(row.limit, value=bound)
        held = judged(evolve(found, limits=(evolve(row, limit=limit),), goals=(), strains=()), [finer_])
        assert held.limits[0].verdict is held.verdict
        assert held.good is (held.verdict is Verdict.KEPT)
        return held.limits[0].verdict

    assert told(row.worst + 5.0) is Verdict.NOT_RESOLVED  # between them
    assert told(row.worst + 15.0) is Verdict.NOT_RESOLVED  # beyond them, by less than they differ
    assert told(row.worst - 5.0) is Verdict.NOT_RESOLVED
    assert told(row.worst + 25.0) is Verdict.KEPT
    assert told(row.worst - 15.0) is Verdict.BROKEN


def test_a_goal_that_one_grid_misses_is_not_resolved(found: Prediction) -> None:
    row = evolve(found.goals[0], reached_ms=1000 * 60, goal=evolve(found.goals[0].goal, within=3600.0))
    one = evolve(found, limits=(), goals=(row,), strains=())
    missed = evolve(found, goals=(evolve(row, reached_ms=None),))
    held = judged(one, [missed]).goals[0]
    assert held.verdict is Verdict.NOT_RESOLVED
    assert held.finer is not None
    assert held.finer.value is None
    assert judged(one, [one]).goals[0].kept


def test_a_run_that_only_a_finer_grid_ends_early_is_not_resolved(found: Prediction) -> None:
    met = evolve(found.goals[0], reached_ms=60_000, goal=evolve(found.goals[0].goal, within=3600.0))
    calm = evolve(found, limits=(), goals=(met,), strains=())
    assert judged(calm, [calm, calm]).good
    early = evolve(calm, complete=False, ended="the plant left what can be computed")
    assert judged(calm, [calm, early]).verdict is Verdict.NOT_RESOLVED
    assert judged(early, [calm]).verdict is Verdict.BROKEN


def test_the_furthest_is_told() -> None:
    near, far = FinerGrid(80, 0.02, True, ""), FinerGrid(20, 0.005, True, "")
    for own, values, value in ((3.0, (3.1, 2.5), 2.5), (None, (None, 2.0), 2.0), (3.0, (9.0, None), None)):
        told = furthest(own, values, (near, far))
        assert told is not None
        assert told.value == value
    assert furthest(3.0, (), ()) is None


class Stops(Progress):
    """Stops at the second word."""

    def __init__(self) -> None:
        self.told: list[float] = []

    def tell(self, done: float, of: float | None, words: str) -> None:  # noqa: ARG002  (the share counts)
        self.told.append(done)

    def cancelled(self) -> bool:
        return len(self.told) >= 2


def test_nobody_waits_for_finer_grids_of_what_is_stopped(plan: Plan) -> None:
    stops = Stops()
    with pytest.raises(Cancelled):
        predict_resolved(plan, "a minute", FEW, stops)
    assert all(0.0 <= share <= 1.0 for share in stops.told)


def test_the_coarse_setting_runs_alone_and_says_so(plan: Plan) -> None:
    told = use(plan, How("a minute", coarse=True))
    assert told.finer == ()
    assert all(row.finer is None for row in told.limits)
    assert any("no finer grid was run" in note.sentence for note in told.notes)


def test_so_many_cells_as_are_asked_for(plan: Plan) -> None:
    assert How(cells=40).settings(plan) == fine(plan, cells=40)
    for wrong in (4, 321):
        with pytest.raises(AskError, match="5 to 320"):
            How(cells=wrong)
    with pytest.raises(AskError, match="--coarse"):
        How(coarse=True, cells=40)
