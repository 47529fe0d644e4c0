"""A cluster does what processes here do: a real scheduler and workers, each a process of its own."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from steadfall import cluster as door
from steadfall.cluster import Cluster, cluster
from steadfall.plan.read.whole import read_file
from steadfall.predict.outcome.spread import Survey
from steadfall.predict.run import coarse, predict
from steadfall.predict.survey.bands import bands
from steadfall.progress import SILENT
from steadfall.source import OutsideError
from steadfall.upset.failures import failures
from steadfall.upset.table import table
from steadfall.workers import Processes
from tests.house.verbs import run
from tests.plan.paths import EXAMPLES, GOOD, ROOT

TRIES = 2_000  # only how long a failing test waits
PLANS = {path.stem: path for path in (*GOOD, *EXAMPLES)}


def begun(*words: str) -> subprocess.Popen[bytes]:
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT)])
    quiet = {"DASK_LOGGING__DISTRIBUTED": "error"}
    return subprocess.Popen(
        [sys.executable, "-m", "dask", *words],
        env={**os.environ, "PYTHONPATH": paths, **quiet},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """A scheduler with two workers."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    at = f"tcp://127.0.0.1:{port}"
    scheduler = begun("scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard")
    worker = ("worker", at, "--nthreads", "1", "--no-nanny", "--no-dashboard", "--death-timeout", "100")
    family = [scheduler, begun(*worker), begun(*worker)]
    try:
        yield at
    finally:
        for one in family:
            one.kill()
            one.wait()


@pytest.fixture(scope="module")
def two(address: str) -> Iterator[Cluster]:
    for tried in range(TRIES):
        try:
            with cluster(address) as found:
                if found.many == 2 or tried == TRIES - 1:
                    yield found
                    return
        except OutsideError:
            if tried == TRIES - 1:
                raise
        time.sleep(0.05)


def test_bands_are_those_of_processes_here(two: Cluster) -> None:
    assert two.many == 2
    plan = read_file(PLANS["small"])
    result = predict(plan, settings=coarse(plan))
    here, there = (bands(result, Survey(4, 7, crew), SILENT) for crew in (Processes(), two))
    assert here.as_json() == there.as_json()


def test_a_table_of_upsets_is_that_of_processes_here(two: Cluster) -> None:
    plan = read_file(PLANS["small"])
    chosen = [one for one in failures(plan) if one.at_start_only][:2]
    assert len(chosen) == 2
    here, there = (table(plan, chosen, crew, SILENT) for crew in (Processes(), two))
    assert here.rows == there.rows


def test_who_has_another_version_is_named(two: Cluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "__version__", "0.0.0")
    with (
        pytest.raises(OutsideError, match=r"worker tcp://.* has version .* expected 0\.0\.0"),
        cluster(two.address),
    ):
        pass


def test_nobody_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "PATIENCE", 0.5)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"tcp://127.0.0.1:{free.getsockname()[1]}"
        ran = run("upset", PLANS["small"], "--cluster", address)
    assert ran.code == 3
    assert f"no Dask scheduler answers at '{address}'" in ran.err


@pytest.mark.parametrize("word", ["nowhere", "tcp://", "http://x:y"])
def test_no_address(word: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "PATIENCE", 0.5)
    ran = run("predict", PLANS["small"], "--coarse", "--band", "10", "--cluster", word)
    assert ran.code == 3
    assert "expected host:port" in ran.err


@pytest.mark.parametrize("word", ["nonsense://here:8786", "nonsense", "tcp://127.0.0.1:9"])
def test_no_client_is_made_where_nobody_can_answer(word: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """It would wait 40 s for itself to end, and then end in a traceback on the terminal."""

    def made(*_: object, **__: object) -> None:
        pytest.fail("a client was made")

    monkeypatch.setattr(door, "Client", made)
    ran = run("upset", PLANS["small"], "--cluster", word)
    assert ran.code == 3
    assert "expected host:port" in ran.err


def test_one_prediction_asks_for_no_cluster() -> None:
    ran = run("predict", PLANS["small"], "--cluster", "tcp://127.0.0.1:1")
    assert ran.code == 2
    assert "add --band" in ran.err


def die_once(marks: tuple[Path, int]) -> int:
    """Ends its own process as the first one that does it."""
    mark, number = marks
    if number == 3 and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such signal there")
def test_a_worker_that_is_killed_loses_nothing(two: Cluster, tmp_path: Path) -> None:
    mark = tmp_path / "died"
    found = sorted(two.each(die_once, [(mark, number) for number in range(8)]))
    assert mark.exists()
    assert found == list(range(8))
