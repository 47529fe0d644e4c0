"""Runs that share what the plant did: each is, to the bit, the run that was made alone."""

import pickle
from collections.abc import Sequence

import pytest
from attrs import evolve

from steadfall.plan.model.upset import Upset, Wrong
from steadfall.plan.read.whole import read_text
from steadfall.predict.inputs.scenario import course, spelled
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import PlantRun, coarse, start
from steadfall.predict.shared import SharedRun
from steadfall.progress import SILENT
from tests.plan.paths import GOOD

PLAN = read_text(next(path for path in GOOD if path.stem == "scenarios").read_text(encoding="utf-8"))
AT_MS = 30_000
HOT, PRESSURE, BUTTON, AIR = "upper.outlet_temperature", "upper.pressure", "reset_button", "works_air"


def wrong(of: str, *steps: tuple[int, Wrong, float | None]) -> tuple[Upset, ...]:
    return spelled(PLAN, [Upset(AT_MS + after, of, one, value) for after, one, value in steps])


FAILURES = {
    "stuck, and right again in the middle of a stretch": wrong(
        HOT, (0, Wrong.STICKS, None), (7_300, Wrong.MEASURES, None)
    ),
    "drifts": wrong(HOT, (0, Wrong.DRIFTS_DOWN, None)),
    "shows a pressure that trips": wrong(PRESSURE, (4_000, Wrong.SHOWS, 1.2e6)),
    "bounces": wrong(BUTTON, (0, Wrong.BOUNCES, None)),
    "air lost, which is no input": wrong(AIR, (0, Wrong.PRESSURE, 101325.0)),
}


@pytest.fixture(scope="module")
def shared() -> SharedRun:
    """A run that stands at a moment, and from which the run in which nothing fails has gone on."""
    run = SharedRun(PLAN, course(PLAN), coarse(PLAN), (AT_MS,))
    run.until(AT_MS)
    saved = run.branch(())
    run.through(SILENT)
    return saved


def told(found: Prediction) -> dict[str, object]:
    """All of it but for the notes, one of which names the failure."""
    tracks = {
        name: (one.times_ms.tolist(), one.values.tolist(), None if one.high is None else one.high.tolist())
        for name, one in found.trace.tracks.items()
    }
    parts = found.limits, found.goals, found.moments, found.circuits, found.valves, found.strains
    return {"parts": parts, "end": (found.end_ms, found.ended, found.balance), **tracks}


@pytest.mark.parametrize("name", FAILURES)
def test_a_run_that_shares_is_the_run_alone(name: str, shared: SharedRun) -> None:
    alone = start(PLAN, evolve(course(PLAN), upsets=FAILURES[name]), coarse(PLAN)).through(SILENT)
    for _ in range(2):  # the second follows the first
        assert told(shared.branch(FAILURES[name]).through(SILENT)) == told(alone)


def test_the_plant_does_nothing_twice(shared: SharedRun, monkeypatch: pytest.MonkeyPatch) -> None:
    """A button that nobody asks is the run in which nothing fails; a second failure of one kind the first."""
    trips = FAILURES["shows a pressure that trips"]
    shared.branch(trips).through(SILENT)
    assert moved(shared, FAILURES["bounces"], monkeypatch) == 0
    assert moved(shared, trips, monkeypatch) == 0
    assert moved(shared, FAILURES["air lost, which is no input"], monkeypatch) > 0


def moved(shared: SharedRun, upsets: Sequence[Upset], monkeypatch: pytest.MonkeyPatch) -> int:
    """How often the plant moves on in a run."""
    times, advance = [], PlantRun.advance

    def counted(run: PlantRun, until_ms: int | None = None) -> None:
        times.append(until_ms)
        advance(run, until_ms)

    with monkeypatch.context() as patched:
        patched.setattr(PlantRun, "advance", counted)
        shared.branch(upsets).through(SILENT)
    return len(times)


def test_a_state_that_is_handed_to_another_process_goes_on_as_here(shared: SharedRun) -> None:
    """It goes without the buffers of the loop, and without what others could follow."""
    small, whole = pickle.dumps(shared.alone()), pickle.dumps(shared)
    assert len(small) < len(whole)
    here = start(PLAN, evolve(course(PLAN), upsets=FAILURES["drifts"]), coarse(PLAN)).through(SILENT)
    for state in small, whole:
        there = pickle.loads(state).branch(FAILURES["drifts"])
        assert told(there.through(SILENT)) == told(here)
        assert there.record.rows.shape == shared.record.rows.shape
