"""Runs that an earlier run of the program has named: made again, and believed only where they show it now."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.before import seen_before
from steadfall.prove.decide.before.seen_before import keep_seen, seen_again
from steadfall.prove.decide.simulation import Simulated, simulate
from steadfall.prove.explain.witness import stimuli_of
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.store import Store
from steadfall.units import value_in
from tests.prove.plans import demo, guarded

NAMES = ("upper.mist.shortest_open", "upper.reaches_idle", "upper.dosing.climbs")


def chosen(of: Watched, names: Sequence[str] = NAMES) -> list[Required]:
    return [row for row in of.required if row.name in names]


@pytest.fixture
def of() -> Watched:
    return watched(guarded(shortest_open_ms=50))


@pytest.fixture
def seen(of: Watched, tmp_path: Path) -> dict[str, Simulated]:
    """What runs show; it is kept."""
    shown = simulate(of, chosen(of))
    keep_seen(of, (chosen(of), Ask(store=Store(tmp_path)), shown))
    return shown


def again(of: Watched, folder: Path, names: Sequence[str] = NAMES) -> dict[str, Simulated] | None:
    return seen_again(of, (chosen(of, names), Ask(store=Store(folder))))


def test_the_same_runs_show_the_same(of: Watched, seen: dict[str, Simulated], tmp_path: Path) -> None:
    assert again(of, tmp_path) == seen
    assert again(of, tmp_path, NAMES[:2]) is None
    assert seen_again(of, (chosen(of), Ask())) is None


def test_other_numbers_are_shown_by_the_same_runs_a_little_later(
    seen: dict[str, Simulated], tmp_path: Path
) -> None:
    found = again(watched(guarded(shortest_open_ms=60)), tmp_path)
    assert found is not None
    assert set(found) == set(seen)


def spoilt(witness: dict[str, Any]) -> Iterator[Any]:
    yield from (None, [], {}, {"seed": "x", "scan": 1})
    yield from ({**witness, "seed": seed} for seed in (-1, 10**9, None))
    yield from ({**witness, "scan": scan} for scan in (-1, 10**9, witness["scan"] + 1))
    yield {**witness, "then": {"scan": 1, "input": "upper.flood", "to": 1.0}}
    yield {**witness, "then": {"scan": 10**9, "input": "air_ok", "to": 0.0}}


@pytest.mark.usefixtures("seen")
def test_what_is_spoilt_shows_nothing_that_is_not_so(of: Watched, tmp_path: Path) -> None:
    kept = {path: json.loads(path.read_text()) for path in tmp_path.iterdir()}
    for bad in spoilt(next(iter(kept.values()))[NAMES[0]]):
        for path, good in kept.items():
            path.write_text(json.dumps({**good, NAMES[0]: bad}), encoding="utf-8")
        found = again(of, tmp_path)
        assert found is None or all(shows(of, row, found[row.name]) for row in chosen(of))


def shows(of: Watched, row: Required, one: Simulated) -> bool:
    """Whether the run of a witness shows a requirement at work in its scan, and no sooner."""
    assert one.witness is not None
    assert one.violation is None
    runs = rig(of.plan, of.network)
    return runs.fast.first(stimuli_of(runs, one.witness), [row.exercised]) == [one.witness["scan"]]


@pytest.mark.usefixtures("seen")
def test_what_a_run_no_longer_shows_is_shown_by_a_change_on_purpose(
    of: Watched, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As where a number of the plan has moved what it showed; the other runs are not made for it."""
    for path in tmp_path.iterdir():
        good = json.loads(path.read_text())
        path.write_text(json.dumps({**good, NAMES[0]: {"seed": 3, "scan": 0}}), encoding="utf-8")
    monkeypatch.delattr(seen_before, "simulate")
    found = again(of, tmp_path)
    assert found is not None
    assert "then" in (found[NAMES[0]].witness or {})
    assert all(shows(of, row, found[row.name]) for row in chosen(of))


def test_what_runs_have_broken_is_not_kept(of: Watched, seen: dict[str, Simulated], tmp_path: Path) -> None:
    broken = Simulated(seen[NAMES[0]].witness, stimuli(rig(of.plan, of.network), 0).part(0, 3))
    folder = tmp_path / "another"
    keep_seen(of, (chosen(of), Ask(store=Store(folder)), {**seen, NAMES[0]: broken}))
    assert not folder.exists()


def test_the_usual_end_of_a_measured_value_is_one_that_its_sensor_gives() -> None:
    """The press trusts no sensor beyond its range, so colder than that it would never climb."""
    plan = demo()
    ends = rig(plan, watched(plan).network).ends
    for name in ("upper.platen_temperature", "lower.platen_temperature"):
        item = plan.inputs[name]
        assert value_in(item.low, item.unit) <= ends[name] <= value_in(item.high, item.unit)
