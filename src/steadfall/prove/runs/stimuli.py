"""Made-up runs of the controller: they show requirements at work, and find long violations quickly.

Rule of this file: every run is decided by its seed. Some runs are ordinary days (what calls is on, what must
hold holds, now and then something changes), some flicker one input. What is found is a run of scans, to be
replayed.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from steadfall.logic.nodes import Type, Value
from steadfall.prove.runs.anew import Move, made_anew, moved_by_hand, presses, tried
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.values import SMALL
from steadfall.runs.run import Run, turns

LONGEST_RUN = 16_000  # scans
TO_REST = (1, 100, 2500)  # scans until circuits are idle
FOLLOWING, STUCK = (
    0.8,
    0.7,
)  # so often limit switches follow their commands; of these runs, so often all but one


@lru_cache(maxsize=64)
def stimuli(of: Rig, seed: int) -> Run:
    """The run of a seed."""
    luck = random.Random(seed)
    nominal, longest = of.nominal_ms, of.longest_ms
    usual = luck.choice([nominal, longest, longest, 0])
    dts = (usual,) * LONGEST_RUN if usual else any_scans(luck, longest)
    if (
        not usual and seed % 8 >= 4
    ):  # the quickest and the slowest scans alone: sums of delays come to their ends
        extremes = random.Random(f"scans {seed}")
        dts = tuple(extremes.choices((1, longest), k=LONGEST_RUN))
    moves = (_day, _stairs, _flicker, _steady)[seed % 4](of, luck, dts) if of.network.inputs else []
    moves = moved_by_hand(of, luck, moves, len(dts), TO_REST)
    moves = [*made_anew(of, luck, moves, _usual), *presses(of, luck, len(dts), (at for at, _, _ in moves))]
    moves = tried(of, luck, moves, len(dts))
    return made_up(of, dts, moves, following=_following(of, seed) if luck.random() < FOLLOWING else {})


def _following(of: Rig, seed: int) -> Mapping[str, str]:
    """The limit switches that follow their commands: where valves are tested, in some runs all but one, since
    of several that do not another one may end the test sooner.
    """
    luck = random.Random(f"stuck {seed}")
    stuck = luck.choice(sorted(of.follows)) if of.tests and of.follows and luck.random() < STUCK else None
    return {name: to for name, to in of.follows.items() if name != stuck}


def any_scans(luck: random.Random, longest: int) -> tuple[int, ...]:
    """Scans of any length: what `randint` would give one by one, in a third of the time."""
    bits, some = longest.bit_length(), luck.getrandbits
    found: list[int] = []
    while len(found) < LONGEST_RUN:
        value = some(bits)
        if value < longest:
            found.append(value + 1)
    return tuple(found)


def made_up(of: Rig, dts: Sequence[int], moves: Iterable[Move], *, following: Mapping[str, str]) -> Run:
    """A run from moves in any order; of two of one input in one scan the later counts."""
    given: dict[str, list[tuple[int, Value]]] = {}
    for at, name, value in moves:
        if at < len(dts):
            given.setdefault(name, []).append((at, value))
    inputs = {name: turns(pairs, of.types[name]) for name, pairs in given.items()}
    return Run(np.array(dts, dtype=np.int64), inputs, follows=following)


def _usual(of: Rig, luck: random.Random, name: str) -> float:
    if of.types[name] in (Type.INT, Type.TIME):
        return _whole(of, luck, name)
    if name in of.choices:
        end = of.choices[name][-1] if name in of.high else of.ends.get(name, of.choices[name][0])
        return luck.choice((end, end, luck.choice(of.choices[name])))
    return of.favoured.get(name, 0.0)


def _whole(of: Rig, luck: random.Random, name: str) -> float:
    return luck.choice(of.choices[name]) if name in of.choices else float(luck.randint(*SMALL))


def _day(of: Rig, luck: random.Random, dts: Sequence[int]) -> list[Move]:
    """Everything as usual, then now and then something else."""
    names = [row.name for row in of.network.inputs]
    moves: list[Move] = [(0, name, _usual(of, luck, name)) for name in names]
    scan, calm = 0, luck.choice([0.5, 0.8, 0.95])
    typical = luck.choice([1, 20, 400, 2500])
    while scan < len(dts):
        scan += max(1, int(typical * luck.expovariate(1.0)))
        name = luck.choice(names)
        value = _usual(of, luck, name) if luck.random() < calm else _other(of, luck, name)
        moves.append((scan, name, value))
    return moves


def _stairs(of: Rig, luck: random.Random, dts: Sequence[int]) -> list[Move]:
    """Everything as usual, some measured values going down (or up) by steps, and now and then a switch
    changes.
    """
    names = [row.name for row in of.network.inputs]
    moves: list[Move] = [(0, name, _usual(of, luck, name)) for name in names]
    switches = [row.name for row in of.network.inputs if row.type is Type.BOOL]
    together, dwell = luck.random() < 0.5, luck.randint(500, 3000)
    for name in names:
        steps = of.choices.get(name, ())
        if not steps or luck.random() < 0.3:
            continue
        if luck.random() < 0.8:
            steps = tuple(reversed(steps))
        own = dwell if together else luck.randint(500, 3000)
        moves += [(place * own, name, value) for place, value in enumerate(steps)]
    for _ in range(luck.choice([0, 0, 3, 10]) if switches else 0):
        scan, name = luck.randrange(len(dts)), luck.choice(switches)
        moves += [
            (scan, name, _other(of, luck, name)),
            (scan + luck.randint(1, 500), name, of.favoured.get(name, 0.0)),
        ]
    return moves


def _steady(of: Rig, luck: random.Random, dts: Sequence[int]) -> list[Move]:
    """What asks for cooling is held somewhere until a ramp has left it behind; then switches change, now and
    then.
    """
    names = [row.name for row in of.network.inputs]
    moves: list[Move] = [(0, name, _usual(of, luck, name)) for name in names]
    moves += [
        (0, name, luck.choice(of.choices[name][1:-1]))
        for name in names
        if name in of.high & of.choices.keys()
    ]
    others = [row.name for row in of.network.inputs if row.name not in of.high]
    for _ in range(luck.choice([1, 3, 6]) if others else 0):
        scan, name = luck.randrange(len(dts)), luck.choice(others)
        moves += [
            (scan, name, _other(of, luck, name)),
            (scan + luck.randint(1, 500), name, _usual(of, luck, name)),
        ]
    return moves


def _other(of: Rig, luck: random.Random, name: str) -> float:
    if of.types[name] in (Type.INT, Type.TIME):
        return _whole(of, luck, name)
    if name in of.choices:
        return luck.choice(of.choices[name])
    return 1.0 - of.favoured.get(name, 0.0)


def _flicker(of: Rig, luck: random.Random, dts: Sequence[int]) -> list[Move]:
    """Everything as usual, and one switch goes on and off; stretches of observers begin early."""
    names = [row.name for row in of.network.inputs]
    moves: list[Move] = [(0, name, _usual(of, luck, name)) for name in names]
    switches = [
        row.name for row in of.network.inputs if row.type is Type.BOOL and row.name not in of.choosers
    ]
    moves += [(0, name, 1.0) for name in sorted(of.choosers)]
    moves += [(luck.randint(1, 200), name, 0.0) for name in sorted(of.choosers)]
    if not switches:
        return moves
    on_as_usual = [name for name in switches if of.favoured.get(name)]
    one = luck.choice(luck.choice((switches, on_as_usual or switches)))
    on, off = (max(1, int(10 ** luck.uniform(0, 2))) for _ in range(2))
    scan = luck.choice((luck.randint(0, 100), luck.randrange(len(dts))))  # late: when it has climbed
    while scan < len(dts):
        moves += [(scan, one, 1.0), (scan + on, one, 0.0)]
        scan += on + off
    return moves


def samples(of: Rig, columns: Sequence[str], seeds: Iterable[int], length: int) -> Any:
    """The values of whole or true/false signals after every scan of some runs: int64[scans, columns]."""
    return np.concatenate([of.fast.columns(stimuli(of, seed).part(0, length), columns) for seed in seeds])
