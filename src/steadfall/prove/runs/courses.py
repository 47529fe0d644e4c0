"""Made-up inputs for runs that jump: how such a run goes on, what its inputs do, when its power fails.

Rule of this file: a course is decided by its seed, and ends after so many steps.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from attrs import evolve, frozen

from steadfall.logic.nodes import Type
from steadfall.prove.runs.anew import made_anew, moved_by_hand, presses, tried
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.values import SMALL

STEPS = 2000
STRAY = 0.05  # so often a jump of a quiet course ends anywhere
RATES = (0.0, 0.002, 0.01, 0.04, 0.15)  # how often an input changes
AS_USUAL = 0.6  # so often an input that changes is as it usually is
CUT_RATES = (0.002, 0.01, 0.04)  # how often power fails
CLIMBS, EARLY = 0.5, 20  # so often a value that asks for cooling changes within the first steps
TO_REST = (1, 10, 40)  # steps until circuits are idle
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

    dts: Any  # 0 or less: a jump
    ends: Any
    afters: Any
    offs: Any
    moves: Sequence[tuple[int, str, float]]

    @property
    def steps(self) -> int:
        """How many there are."""
        return len(self.dts)

    def begun(self, steps: int) -> Course:
        """So many of its steps."""
        moves = [move for move in self.moves if move[0] < steps]
        return Course(self.dts[:steps], self.ends[:steps], self.afters[:steps], self.offs[:steps], moves)

    def going_on(self) -> Course:
        """The same with inputs that begin as they are."""
        return evolve(self, moves=[move for move in self.moves if move[0]])


def course(of: Rig, seed: int, times: Sequence[int], *, power_cut: bool, steps: int = STEPS) -> Course:
    """The course of a seed. `times`: the lesser times of the network, after which something may come."""
    luck, dice = random.Random(seed), np.random.RandomState(seed)
    hows = luck.choices(WAYS[seed % len(WAYS)], k=steps)
    moves = list(_moves(of, luck, hows, RATES[seed // len(WAYS) % len(RATES)]))
    moves = moved_by_hand(of, luck, moves, steps, TO_REST)
    made = _made(dice, np.array(hows), of.longest_ms, times)
    if power_cut:
        cut = dice.random_sample(steps) < CUT_RATES[seed % len(CUT_RATES)]
        made = evolve(made, offs=np.where(cut, dice.choice((1, of.longest_ms, *times), steps), 0))
    again = made_anew(of, luck, moves, _usual, np.flatnonzero(made.offs).tolist())
    again += presses(of, luck, steps, (at for at, _, _ in moves))
    again = tried(of, luck, again, steps)
    return evolve(made, moves=sorted(again, key=lambda move: move[0]))


def quiet(of: Rig, seed: int, steps: int, late: float) -> Course:
    """A course on which no input changes; so often, of all jumps, one comes as late as it may, else it just
    comes to what is due: so it is decided how far doses drift, until the stage ends.
    """
    dice = np.random.RandomState(seed)
    kind = np.where(dice.random_sample(steps) < late, LATE, JUST)
    kind = np.where(dice.random_sample(steps) < STRAY, ANY, kind)
    made = _made(dice, kind, of.longest_ms, (1,))
    return made if seed % 3 == 0 else evolve(made, dts=-dice.randint(1, of.longest_ms + 1, steps))


def _made(dice: Any, kind: Any, longest: int, times: Sequence[int]) -> Course:
    steps = len(kind)
    near = dice.choice(times, steps) + dice.choice((0, 0, 1, longest // 2, longest), steps)
    before, after = (dice.randint(1, longest + 1, steps) for _ in range(2))
    dts = np.select([kind == SHORT, kind == LONG], [1, longest], 0)
    ends = np.select([kind == NEAR, kind == LATE], [near, 1], before)
    afters = np.select([kind == NEAR, kind == LATE, kind == JUST], [0, longest, before], after)
    return Course(dts, ends, afters, np.zeros(steps, dtype=np.int64), ())


def _moves(of: Rig, luck: random.Random, hows: list[int], rate: float) -> Iterator[tuple[int, str, float]]:
    """What inputs are given; a pulse often begins a little before something is due, which changes `hows`."""
    names = [row.name for row in of.network.inputs]
    yield from ((0, name, _usual(of, luck, name)) for name in names)
    for name in sorted(
        of.high & of.choices.keys()
    ):  # a ramp begins where it finds a value, and asks for more the more it is left behind
        if luck.random() < CLIMBS:
            yield 0, name, luck.choice(of.choices[name])
            yield luck.randint(2, EARLY), name, luck.choice(of.choices[name])
    step = 1
    while names and rate and (step := step + 1 + int(luck.expovariate(rate))) < len(hows):
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
        if of.types[name] is Type.TIME:  # a setting: a run with each of its ends says more
            return luck.choice(known)
        return of.ends.get(name, known[0]) if luck.random() < AS_USUAL else luck.choice(known)
    if of.types[name] in (Type.INT, Type.TIME):
        return float(luck.randint(*SMALL))
    return of.favoured.get(name, 0.0)


def _other(of: Rig, luck: random.Random, name: str) -> float:
    if name in of.choices:
        return luck.choice(of.choices[name])
    usual = _usual(of, luck, name)
    return 1.0 - usual if of.types[name] is Type.BOOL else usual
