"""What runs of the controller show of its requirements, before any solver is asked.

Rule of this file: a run shows that a requirement can be broken, or that it is at work; never that it holds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import frozen

from steadfall.logic.cone import cone
from steadfall.prove.decide.ask import RUNS
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.perturb import Witness, perturb
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.stimuli import LONGEST_RUN, stimuli
from steadfall.runs.player import Fast
from steadfall.runs.run import Run

SEEDS = 300  # at most; ended when every requirement has been exercised, or as many again have shown none
MOST_WORK = 4_000_000_000  # instructions of the fast scan that are run at most: some 8 s
PERTURBED_AFTER = (10, 30, 80, 160)  # seeds; then the requirements that are left are exercised on purpose
FEW = 40  # left: of more, chance shows most in a few runs, and each costs many on purpose


@frozen
class Simulated:
    """What runs of the controller have shown of a requirement."""

    witness: Mapping[str, Any] | None = None
    violation: Run | None = None


def simulate(of: Watched, chosen: Sequence[Required], seeds: int = SEEDS) -> dict[str, Simulated]:
    """What runs of the controller show: when each requirement is exercised, which are broken; after the
    first of them only those are looked at that are still to be exercised.
    """
    whole = rig(of.plan, of.network)
    one = _seeing(of, chosen) if len(chosen) < len(of.required) else whole.fast
    most = max(1, min(seeds, MOST_WORK // (LONGEST_RUN * len(one.program.code))))
    first: dict[str, tuple[int, int]] = {}
    made: dict[str, Witness] = {}
    asked: list[Required] = list(chosen)
    before: list[Required] | None = None
    for seed in range(most):
        names = _names(of, asked)
        for name, scan in zip(names, one.first(stimuli(whole, seed), names), strict=True):
            if scan >= 0 and (name not in first or scan < first[name][1]):
                first[name] = seed, scan
        if seed in PERTURBED_AFTER or (seed == most - 1 and most < seeds):
            if asked := _left(chosen, first, made):
                one = _seeing(of, asked)
                if len(asked) <= FEW or seed > PERTURBED_AFTER[0]:
                    made |= perturb(whole, asked, first, on=one)
            if (asked := _left(chosen, first, made)) == before:
                break
            before = asked
        if seed >= PERTURBED_AFTER[0] and not _left(chosen, first, made):
            break
    return {row.name: _shown(whole, row, first, made) for row in chosen}


def _seeing(of: Watched, rows: Sequence[Required]) -> Fast:
    """What it takes to see some requirements in the same runs."""
    return Fast(cone(of.network, _names(of, rows)))


def _names(of: Watched, rows: Sequence[Required]) -> list[str]:
    return [*(row.exercised for row in rows), *(row.bad for row in rows), *of.network.outputs]


def _left(chosen: Sequence[Required], first: Mapping[str, Any], made: Mapping[str, Any]) -> list[Required]:
    """The requirements that no run has exercised yet."""
    return [row for row in chosen if row.exercised not in first and row.name not in made]


def _shown(
    one: Rig, row: Required, first: Mapping[str, tuple[int, int]], made: Mapping[str, Witness]
) -> Simulated:
    witness: Witness | None = {"by": RUNS, **made[row.name]} if row.name in made else None
    violation = None
    if row.exercised in first:
        seed, scan = first[row.exercised]
        witness = {"by": RUNS, "seed": seed, "scan": scan, "at_ms": int(stimuli(one, seed).times_ms[scan])}
    if row.bad in first:
        seed, scan = first[row.bad]
        violation = one.fast.closed(stimuli(one, seed).part(0, scan + 1))
    return Simulated(witness, violation)
