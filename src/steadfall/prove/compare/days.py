"""Made-up days for two controllers, to see on which of them they part.

Rule of this file: a call that only one of the two knows, and values that the two judge differently, are
tried.
"""

from __future__ import annotations

import random
from bisect import bisect_left
from collections.abc import Iterator

import attrs

from steadfall.logic.nodes import Type
from steadfall.prove.compare.side_by_side import Pair
from steadfall.prove.runs.stimuli import LONGEST_RUN, Course, Driver, Move, course, driver, limits, run
from steadfall.units import value_in

SEEDS, FEW, MORE, TURNS = range(36), range(8), range(8, 48), range(160)
MOSTLY = 0.7  # of what turns is what asks for cooling


def first(pair: Pair) -> Iterator[tuple[Driver, Course]]:
    """Ordinary days; some with measured values where the two judge them differently, or with one call alone
    on.
    """
    usual = driver(pair.usual, pair.whole)
    within = _in_range(pair, usual)
    yield from ((within, course(within, seed)) for seed in SEEDS)
    if within.choices != usual.choices:
        yield from ((usual, course(usual, seed)) for seed in FEW)
    for of in (*_judged_apart(pair, within), *_one_call(pair, within)):
        yield from ((of, course(of, seed)) for seed in FEW)


def more(pair: Pair) -> Iterator[tuple[Driver, Course]]:
    """More of such days; days on which all is well until something turns; days on which one limit switch
    sticks.
    """
    usual = _in_range(pair, driver(pair.usual, pair.whole))
    others = (*_judged_apart(pair, usual), *_one_call(pair, usual))
    for of in others:
        yield from ((of, course(of, seed)) for seed in MORE)
    for seed in TURNS:
        yield usual, turning(usual, usual, seed)
        yield from ((of, turning(of, usual, seed)) for of in others)
    for stuck, switch, valve in _sticking(usual):
        for seed in SEEDS:
            inputs = course(stuck, seed)
            yield stuck, inputs
            opens = run(stuck, inputs, [valve])[0]
            if opens >= 0:
                yield stuck, _stays_on(inputs, switch, opens)


def turning(of: Driver, then: Driver, seed: int) -> Course:
    """All as it is for the strongest cooling, until something turns, and perhaps something more, as `then`
    has it.
    """
    luck, moves = random.Random(seed), list[Move]()
    names = [row.name for row in of.network.inputs]
    for name in names:
        values = of.choices.get(name, (of.favoured.get(name, 0.0),))
        moves.append((0, name, max(values) if name in of.high else min(values)))
        if name in of.high and of is not then:
            moves[-1] = (0, name, luck.choice(values))
    asking = [name for name in names if name in of.high or then.favoured.get(name)] or names
    for _ in range(luck.randint(1, 4)):
        name = luck.choice(asking if luck.random() < MOSTLY else names)
        values = then.choices.get(name, (0.0, 1.0))
        moves.append((luck.randrange(LONGEST_RUN), name, luck.choice((max(values), luck.choice(values)))))
    moves.sort(key=lambda move: move[0])
    return Course((of.longest_ms,) * LONGEST_RUN, tuple(moves), following=True)


def _sticking(usual: Driver) -> Iterator[tuple[Driver, str, str]]:
    """For each limit switch, that it alone does not follow its valve."""
    for switch, valve in usual.follows.items():
        if {switch, valve} <= usual.types.keys():
            follows = {name: other for name, other in usual.follows.items() if name != switch}
            yield attrs.evolve(usual, follows=follows), switch, valve


def _stays_on(inputs: Course, switch: str, opens: int) -> Course:
    """A run on which a limit switch goes on when its valve has first opened, and stays so."""
    moves = [move for move in inputs.moves if move[1] != switch]
    return attrs.evolve(
        inputs, moves=tuple(sorted([*moves, (opens + 1, switch, 1.0)], key=lambda move: move[0]))
    )


def _in_range(pair: Pair, usual: Driver) -> Driver:
    """Measured values that no sensor gives are left out, as far as others are left: many a plan trips on
    them.
    """
    choices = dict(usual.choices)
    for name, values in choices.items():
        item = pair.usual.inputs.get(name)
        if item is not None and item.kind != "switch":
            low, high = (value_in(end, item.unit) for end in (item.low, item.high))
            inside = tuple(sorted(value for value in values if low <= value <= high))
            choices[name] = inside if len(inside) > 1 else values
    return attrs.evolve(usual, choices=choices)


def _judged_apart(pair: Pair, usual: Driver) -> Iterator[Driver]:
    """Measured values kept among the limits that only one of the two has."""
    ours, theirs = (limits(side) for side in (pair.first, pair.second))
    near: dict[str, tuple[float, ...]] = {}
    for name, values in usual.choices.items():
        lone = ours.get(name, set()) ^ theirs.get(name, set())
        if len(lone) > 1:
            near[name] = tuple(value for value in sorted(values) if min(lone) <= value <= max(lone))
        elif lone:
            place = bisect_left(sorted(values), min(lone))
            near[name] = tuple(sorted(values)[max(0, place - 1) : place + 2])
    near = {name: values for name, values in near.items() if values}
    if near:
        yield attrs.evolve(usual, choices={**usual.choices, **near})
    for name in near if len(near) > 1 else ():
        yield attrs.evolve(usual, choices={**usual.choices, name: near[name]})


def _one_call(pair: Pair, usual: Driver) -> Iterator[Driver]:
    """For each of several calls, that it alone is on as usual."""
    called = [name for name, value in usual.favoured.items() if _calls(pair, usual, name, value)]
    for name in called if len(called) > 1 else ():
        others = dict.fromkeys((other for other in called if other != name), 0.0)
        yield attrs.evolve(usual, favoured={**usual.favoured, **others})


def _calls(pair: Pair, usual: Driver, name: str, value: float) -> bool:
    return usual.types.get(name) is Type.BOOL and bool(value) and not pair.usual.inputs[name].normal
