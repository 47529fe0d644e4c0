"""A hundred sessions of the bench, each killed at a random moment: what is left of their evidence.

Rule of this file: a session tells through a pipe which cycle is over, so that it is known what must be there.

`python -m benchmarks.bench_kills` prints what it came to; one cycle too few makes the exit code 1.
"""

from __future__ import annotations

import os
import random
import signal
import tempfile
import time
from pathlib import Path

from attrs import frozen
from tests.bench.made import plan_of

from steadfall.bench.session.journal import Journal, Row, read_recording
from steadfall.bench.session.loop import Driven, Session
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.predict.stepper import Stepper

KILLS, LASTING_MS, SCANS = 100, 3_600_000, (20, 40)
MOST_CYCLES, MOST_US = 200, 3_000  # after how many cycles, and how long after that, it is killed


@frozen
class Killed:
    """A session that was killed: how many cycles it told that were over, and how many its evidence holds."""

    told: int
    kept: int
    in_order: bool

    @property
    def good(self) -> bool:
        """All that was over is there, in order; the cycle under way may be there too."""
        return self.in_order and self.told <= self.kept <= self.told + 1


def killed(plan: Plan, folder: Path, seed: int) -> Killed:
    """Begin a session in a process of its own, and kill it at a random moment."""
    dice = random.Random(seed)
    cycles, more_us = dice.randint(1, MOST_CYCLES), dice.randint(0, MOST_US)
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reads)
        _session(plan, folder, writes, seed)
    os.close(writes)
    told = 0
    while told < cycles:
        told += len(os.read(reads, cycles - told))
    time.sleep(more_us / 1e6)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while more := os.read(reads, 65_536):
        told += len(more)
    os.close(reads)
    rows = read_recording(folder).rows
    return Killed(told, len(rows), [row.cycle for row in rows] == list(range(len(rows))))


def _session(plan: Plan, folder: Path, writes: int, seed: int) -> None:
    """In the process: a session that goes on until it is killed."""
    journal = Journal(folder, {}, {})

    def keep(row: Row) -> None:
        journal.add(row)
        os.write(writes, b".")

    try:
        soft = LockStep(Soft(build(plan), warm=False), *SCANS, seed=seed)
        Session(Stepper(plan), (soft, soft), Driven(LASTING_MS, drive=True), keep).run()
    finally:
        os._exit(1)


def warmed(plan: Plan) -> None:
    """All that is compiled is there before a process is split."""
    soft = LockStep(Soft(build(plan)), *SCANS)
    Session(Stepper(plan), (soft, soft), Driven(500, drive=True), lambda _: None).run()


def main() -> int:
    """How many were killed, and what was left of them."""
    plan = plan_of("small")
    warmed(plan)
    with tempfile.TemporaryDirectory() as folder:
        found = [killed(plan, Path(folder) / str(seed), seed) for seed in range(KILLS)]
    good = sum(one.good for one in found)
    under_way = sum(one.kept - one.told for one in found)
    cycles = sum(one.kept for one in found)
    print(f"{good} of {len(found)} killed sessions have every cycle that was over ({cycles} in all);")
    print(f"{under_way} have the one under way too")
    for seed, one in enumerate(found):
        if not one.good:
            print(f"seed {seed}: {one}")
    return 0 if good == len(found) else 1


if __name__ == "__main__":
    raise SystemExit(main())
