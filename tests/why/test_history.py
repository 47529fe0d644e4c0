"""The history of many scans: what is computed again is what was."""

from __future__ import annotations

import numpy as np

from steadfall.logic.build.whole import build
from steadfall.plan.read.whole import read_file
from steadfall.predict.history import recorded_inputs
from steadfall.predict.run import coarse, predict
from steadfall.scan.interpreter import Scanner
from steadfall.why.scans.history import STRETCH, History
from tests.examples import EXAMPLES
from tests.why.press import history


def test_a_stretch_begins_where_the_last_one_ended() -> None:
    """Asked from the end backwards, the scans at the seams are those of a run from the start."""
    run, scanner = history(), Scanner(history().network)
    again = History(run.network, run.run)
    seams = [number + offset for number in (STRETCH, 2 * STRETCH) for offset in (-1, 0, 1)]
    wanted = {}
    for scan, step in zip(range(max(seams) + 1), run.run.steps(), strict=False):
        values = scanner.scan(step.dt_ms, step.inputs)
        if scan in seams:
            wanted[scan] = dict(values)
    for scan in reversed(seams):
        moment = again.moment(scan)
        assert {name: wanted[scan][name] for name in moment.values} == moment.values
        assert moment.last == again.moment(scan - 1).values


def test_since_and_last_true_across_stretches() -> None:
    run = history()
    scan = run.scan_at(170_000)
    stage = run.column("upper.stage", scan + 1)
    assert run.since("upper.stage", scan) == int(np.flatnonzero(stage != stage[-1])[-1]) + 1
    assert run.last_true("upper.entered", scan) == run.since("upper.stage", scan)
    assert run.last_true("tripped", scan) == run.scan_at(105_000) - 1
    assert run.since("gentle_call", scan) == 0


def test_what_the_controller_saw_gives_what_was_predicted() -> None:
    plan = read_file(str(EXAMPLES["press"]))
    settings = coarse(plan, jitter_seed=3)
    run = History(build(plan), recorded_inputs(plan, "air lost", 400_000, settings))
    trace = predict(plan, "air lost", settings).trace
    end = run.scan_at(400_000)
    for name in ("upper.stage", "upper.mist", "lower.mist", "upper.flood", "tripped", "permitted"):
        track = trace.tracks[name]
        places = np.searchsorted(track.times_ms, run.times_ms[:end], side="right") - 1
        np.testing.assert_array_equal(run.column(name, end), track.values[places])
