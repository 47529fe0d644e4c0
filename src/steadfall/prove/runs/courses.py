"""Made-up inputs for runs that jump: how such a run goes on, what its inputs do, when its power fails.

Rule of this file: a course is decided by its seed, and ends after so many steps.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from attrs import frozen

from steadfall.logic.nodes import Type
from steadfall.prove.runs.rig import SMALL, Rig

STEPS = 2000
RATES = (0.0, 0.002, 0.01, 0.04, 0.15)  # how often an input changes
AS_USUAL = 0.6  # so often an input that changes is as it usually is
CUT_RATES = (0.002, 0.01, 0.04)  # how often power fails
PULSES = (1, 1, 2, 5, 12)  # steps

# How a run goes on: an ordinary scan of 1 ms or of the longest time; or a jump that ends anywhere before the
# next due moment, with a scan of any length after it; with one that just comes to it; one that comes as late
# as it may; or a jump that ends about as long before it as something else takes.
SHORT, LONG, ANY, JUST, LATE, NEAR = range(6)
WAYS = (
    (ANY, JUST, LATE, NEAR, SHORT, LONG),
    (ANY, JUST, LATE, LATE, NEAR),
    (*(LATE,) * 12, LONG, LONG, SHORT),
    (*(JUST,) * 12, SHORT, LONG),
    (JUST, LATE, NEAR, LATE),
)


@frozen(eq=False)
class Course:
    """The steps of a run, as `runs.strides` takes them, and what inputs are given: step, name, value."""

    dts: Any
    ends: Any
    afters: Any
    offs: Any
    moves: Sequence[tuple[int, str, float]]


def course(of: Rig, seed: int, times: Sequence[int], *, power_cut: bool) -> Course:
    """The course of a seed. `times`: the lesser times of the network, after which something may come."""
    luck, dice, longest = random.Random(seed), np.random.RandomState(seed), of.longest_ms
    hows = luck.choices(WAYS[seed % len(WAYS)], k=STEPS)
    moves = sorted(_moves(of, luck, hows, RATES[seed // len(WAYS) % len(RATES)]), key=lambda move: move[0])
    kind = np.array(hows)
    near = dice.choice(times, STEPS) + dice.choice((0, 0, 1, longest // 2, longest), STEPS)
    before, after = (dice.randint(1, longest + 1, STEPS) for _ in range(2))
    dts = np.select([kind == SHORT, kind == LONG], [1, longest], 0)
    ends = np.select([kind == NEAR, kind == LATE], [near, 1], before)
    afters = np.select([kind == NEAR, kind == LATE, kind == JUST], [0, longest, before], after)
    offs = np.zeros(STEPS, dtype=np.int64)
    if power_cut:
        cut = dice.random_sample(STEPS) < CUT_RATES[seed % len(CUT_RATES)]
        offs = np.where(cut, dice.choice((1, longest, *times), STEPS), 0)
    return Course(dts, ends, afters, offs, moves)


def _moves(of: Rig, luck: random.Random, hows: list[int], rate: float) -> Iterator[tuple[int, str, float]]:
    """What inputs are given; a pulse often begins a little before something is due, which changes `hows`."""
    names = [row.name for row in of.network.inputs]
    yield from ((0, name, _usual(of, luck, name)) for name in names)
    step = 1
    while names and rate and (step := step + 1 + int(luck.expovariate(rate))) < STEPS:
        name = luck.choice(names)
        if luck.random() < 0.5:
            lasts = luck.choice(PULSES)
            hows[step - 1] = NEAR if luck.random() < 0.6 else LONG
            hows[step : step + lasts] = [luck.choice((SHORT, LONG))] * len(hows[step : step + lasts])
            yield step, name, _other(of, luck, name)
            yield step + lasts, name, _usual(of, luck, name)
            step += lasts
        else:
            yield step, name, (_usual if luck.random() < AS_USUAL else _other)(of, luck, name)


def _usual(of: Rig, luck: random.Random, name: str) -> float:
    if name in of.choices:
        known = of.choices[name]
        return known[-1 if name in of.high else 0] if luck.random() < AS_USUAL else luck.choice(known)
    if of.types[name] in (Type.INT, Type.TIME):
        return float(luck.randint(*SMALL))
    return of.favoured.get(name, 0.0)


def _other(of: Rig, luck: random.Random, name: str) -> float:
    if name in of.choices:
        return luck.choice(of.choices[name])
    usual = _usual(of, luck, name)
    return 1.0 - usual if of.types[name] is Type.BOOL else usual
