"""What runs of the controller show of its requirements, before any solver is asked.

Rule of this file: a run shows that a requirement can be broken, or that it is at work; never that it holds.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from typing import Any

from attrs import frozen

from steadfall.prove.decide.ask import RUNS
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.perturb import Witness, perturb
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.runs.run import Run

SEEDS, SECONDS_OF_RUNS = 300, 8.0  # at most; ended when every requirement has been exercised
PERTURBED_AFTER = (
    20,
    40,
    80,
    160,
)  # seeds, after which the requirements that are left are exercised on purpose


@frozen
class Seen:
    """What runs of the controller have shown of a requirement."""

    witness: Mapping[str, Any] | None = None
    violation: Run | None = None


def runs(of: Watched, chosen: Sequence[Required], seeds: int = SEEDS) -> dict[str, Seen]:
    """What runs of the controller show: when each requirement is exercised, which are broken."""
    one, begin = rig(of.plan, of.network), time.process_time()
    names = [*(row.exercised for row in chosen), *(row.bad for row in chosen), *of.network.outputs]
    first: dict[str, tuple[int, int]] = {}
    made: dict[str, Witness] = {}
    for seed in range(seeds):
        for name, scan in zip(names, one.fast.first(stimuli(one, seed), names), strict=True):
            if scan >= 0 and (name not in first or scan < first[name][1]):
                first[name] = seed, scan
        late = time.process_time() - begin > SECONDS_OF_RUNS
        if late or seed in PERTURBED_AFTER:
            made |= perturb(one, _left(chosen, first, made), first)
        if late or (seed >= PERTURBED_AFTER[0] and not _left(chosen, first, made)):
            break
    return {row.name: _seen(one, row, first, made) for row in chosen}


def _left(chosen: Sequence[Required], first: Mapping[str, Any], made: Mapping[str, Any]) -> list[Required]:
    """The requirements that no run has exercised yet."""
    return [row for row in chosen if row.exercised not in first and row.name not in made]


def _seen(one: Rig, row: Required, first: Mapping[str, tuple[int, int]], made: Mapping[str, Witness]) -> Seen:
    witness: Witness | None = {"by": RUNS, **made[row.name]} if row.name in made else None
    violation = None
    if row.exercised in first:
        seed, scan = first[row.exercised]
        witness = {"by": RUNS, "seed": seed, "scan": scan, "at_ms": int(stimuli(one, seed).times_ms[scan])}
    if row.bad in first:
        seed, scan = first[row.bad]
        violation = one.fast.closed(stimuli(one, seed).part(0, scan + 1))
    return Seen(witness, violation)
