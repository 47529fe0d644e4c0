"""One verdict on every machine: each example and eight circuits proved on an idle machine, then beside six
busy processes; of all that is said only how long it took may be another.
"""

from __future__ import annotations

import hashlib
import json
import multiprocessing
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from attrs import evolve

from benchmarks.eight import eight
from benchmarks.table import Row
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.before.cache import MEMORY
from steadfall.prove.decide.result import Proof, lemma_sets
from steadfall.prove.whole.run import prove

EXAMPLES = Path(__file__).parent.parent / "examples"
BUSY = 6  # processes that count beside the proof
SPAWNED = multiprocessing.get_context("spawn")


def rows() -> Iterable[Row]:
    """Seconds of the clock alone and beside the busy, and whether both say the same."""
    plans = {path.stem: read_file(path) for path in sorted(EXAMPLES.glob("*.yaml"))}
    for name, plan in {**plans, "eight circuits": eight()}.items():
        alone = _proved(plan)
        with busy(BUSY):
            beside = _proved(plan)
        yield Row(f"{name}: all of it, by the clock", alone.seconds, "s")
        yield Row(f"{name}: beside {BUSY} busy processes", beside.seconds, "s")
        same = digest(alone) == digest(beside)
        yield Row(f"{name}: the same, digest {digest(alone)[:12]}", float(same), "", 1.0, at_least=True)


def _proved(plan: Plan) -> Proof:
    for known in (MEMORY.answers, MEMORY.checked, MEMORY.models):
        known.clear()
    return prove(plan)


def digest(proof: Proof) -> str:
    """Of all that is said, verdicts, engines, certificates, witnesses and runs, but how long it took."""
    verdicts = [evolve(row, seconds=0.0).as_json() for row in proof.verdicts]
    kept = [one.as_json() for one in lemma_sets(proof.verdicts)]
    return hashlib.sha256(json.dumps([verdicts, kept]).encode()).hexdigest()


@contextmanager
def busy(many: int) -> Iterator[None]:
    """So many processes that do nothing but count, until the end."""
    others = [SPAWNED.Process(target=_count, daemon=True) for _ in range(many)]
    for one in others:
        one.start()
    time.sleep(2)  # until they have begun
    try:
        yield
    finally:
        for one in others:
            one.terminate()
            one.join()


def _count() -> None:
    number = 0
    while True:
        number += 1
