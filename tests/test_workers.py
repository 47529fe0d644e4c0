"""Processes end with the one that began them, however it ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import psutil
import pytest

from steadfall.workers import Packed, workers

PATIENCE_S = 120.0  # only how long a failing test waits
PARENT = """
import sys, time
from steadfall.workers import workers
if __name__ == "__main__":
    with workers(2) as pool:
        tasks = [pool.submit(time.sleep, 3600.0) for _ in range(2)]
        while not all(task.running() or task.done() for task in tasks):
            time.sleep(0.01)
        print("busy", flush=True)
        tasks[0].result()
"""


ALONE = """
import sys, time
from steadfall.workers import begun
if __name__ == "__main__":
    begun(time.sleep, 3600.0)
    print("busy", flush=True)
    time.sleep(3600.0)
"""


def gone(family: list[psutil.Process]) -> bool:
    _, alive = psutil.wait_procs(family, PATIENCE_S)
    return not alive


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such signal there")
@pytest.mark.parametrize(
    ("parent", "number"),
    [(PARENT, signal.SIGKILL), (PARENT, signal.SIGTERM), (PARENT, signal.SIGINT), (ALONE, signal.SIGKILL)],
)
def test_no_process_outlives_its_parent(parent: str, number: signal.Signals, tmp_path: Path) -> None:
    script = tmp_path / "parent.py"
    script.write_text(parent, encoding="utf-8")
    with subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as one:
        assert one.stdout is not None
        assert one.stdout.readline() == b"busy\n"
        family = psutil.Process(one.pid).children(recursive=True)
        assert len(family) >= 2
        os.kill(one.pid, number)
        one.wait(PATIENCE_S)
    assert gone(family)


def test_work_in_the_middle_of_a_task_is_ended_by_an_error() -> None:
    def stopped_while_busy() -> None:
        with workers(1) as pool:
            task = pool.submit(time.sleep, 3600.0)
            while not (task.running() or task.done()):
                time.sleep(0.01)
            known = psutil.Process().children(recursive=True)
            family.extend(row for row in known if "resource_tracker" not in " ".join(row.cmdline()))
            raise KeyboardInterrupt

    family: list[psutil.Process] = []
    with pytest.raises(KeyboardInterrupt):
        stopped_while_busy()
    assert family
    assert gone(family)


def test_each_process_is_prepared_and_gives_what_its_task_gives() -> None:
    with workers(2, os.putenv, "PREPARED", "yes") as pool:
        assert list(pool.map(abs, [-1, 2, -3])) == [1, 2, 3]


GONE = """
import os
import _multiprocessing
from multiprocessing import get_context
from steadfall.workers import workers

if __name__ == "__main__":
    with workers(1):
        lock = get_context("spawn").Lock()
        _multiprocessing.sem_unlink(lock._semlock.name)
        os._exit(0)
"""


@pytest.mark.skipif(os.name != "posix", reason="nothing watches locks there")
def test_a_lock_that_is_gone_when_all_ends_is_no_news(tmp_path: Path) -> None:
    script = tmp_path / "gone.py"
    script.write_text(GONE, encoding="utf-8")
    ran = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, check=False)
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "", "")


def test_what_tasks_share_is_opened_once_in_a_process() -> None:
    whole = {"plan": [1.0, 2.0]}
    packed = Packed.of(whole)
    assert packed.open() == whole
    assert packed.open() is not whole
    assert packed.open() is packed.open()
    with workers(1) as pool:
        opened = [pool.submit(_opened, packed).result() for _ in range(3)]
    assert len(set(opened)) == 1


def _opened(packed: Packed[Any]) -> int:
    return id(packed.open())
