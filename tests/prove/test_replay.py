"""A long run is replayed as a short one is: the compiled scan plays it, the interpreter its end."""

from __future__ import annotations

import pytest
from attrs import evolve

from steadfall.logic.nodes import Constant, Type
from steadfall.plan.read.whole import read_file
from steadfall.prove.requirements.whole import watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.system import replay
from steadfall.runs.run import Run
from steadfall.scan.interpreter import Scanner
from steadfall.why.scans.history import History
from tests.examples import EXAMPLES

OF = watched(read_file(EXAMPLES["barrel"]))
MANY = 900  # scans


def made() -> tuple[Run, str]:
    """Of some runs the one in which something comes true for the first time late, and what that is."""
    runs, names = rig(OF.plan, OF.network), [row.exercised for row in OF.required]
    tried = [stimuli(runs, seed).part(0, MANY) for seed in range(6)]
    firsts = [
        (scan, name, run)
        for run in tried
        for scan, name in zip(runs.fast.first(run, names), names, strict=True)
    ]
    _, name, run = max(firsts, key=lambda one: one[:2])
    return run, name


def replayed(run: Run, goal: str, most: int, monkeypatch: pytest.MonkeyPatch) -> replay.Replay | None:
    """With so many scans for the interpreter."""
    monkeypatch.setattr(replay, "ITSELF", most)
    return replay.replay(OF.network, run, goal)


def test_a_long_run_is_replayed_as_the_interpreter_plays_it(monkeypatch: pytest.MonkeyPatch) -> None:
    run, goal = made()
    long, short = (replayed(run, goal, most, monkeypatch) for most in (50, MANY))
    assert long is not None
    assert short is not None
    assert 200 < len(long.run) == len(short.run)
    assert long.at_ms == short.at_ms == long.trace.end_ms == short.trace.end_ms
    assert long.trace.tracks.keys() == short.trace.tracks.keys()
    for name, track in short.trace.tracks.items():
        other = long.trace.tracks[name]
        assert (other.kind, other.values.dtype) == (track.kind, track.values.dtype)
        assert other.times_ms.tolist() == track.times_ms.tolist()
        assert other.values.tolist() == track.values.tolist()


def test_what_a_long_run_does_not_reach_is_not_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    run, _ = made()
    assert replayed(run, OF.required[0].bad, 50, monkeypatch) is None


def test_what_only_the_compiled_scan_sees_is_not_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    run, goal = made()
    begun = History.scanner

    def otherwise(self: History, scan: int) -> Scanner:
        found = begun(self, scan)
        rows = found.network.assignments
        never = [evolve(row, node=Constant(False, Type.BOOL)) if row.name == goal else row for row in rows]
        found.network = evolve(found.network, assignments=tuple(never))
        return found

    monkeypatch.setattr(History, "scanner", otherwise)
    assert replayed(run, goal, 50, monkeypatch) is None
