"""Made-up days for two controllers, to see on which of them they part.

Rule of this file: a call that only one of the two knows, and values that the two judge differently, are
tried.
"""

from __future__ import annotations

import random
from bisect import bisect_left
from collections.abc import Iterator

import attrs

from steadfall.logic.build.readings import as_handed
from steadfall.logic.nodes import Type
from steadfall.prove.compare.side_by_side import Pair
from steadfall.prove.runs.anew import Move
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.stimuli import LONGEST_RUN, made_up, stimuli
from steadfall.prove.runs.values import limits
from steadfall.runs.run import Run, turns

SEEDS, FEW, MORE, TURNS = range(36), range(8), range(8, 48), range(160)
MOSTLY = 0.7  # of what turns is what asks for cooling


def first(pair: Pair) -> Iterator[tuple[Rig, Run]]:
    """Ordinary days; some with measured values where the two judge them differently, or with one call alone
    on.
    """
    usual = rig(pair.usual, pair.whole)
    within = _in_range(pair, usual)
    yield from ((within, stimuli(within, seed)) for seed in SEEDS)
    if within.choices != usual.choices:
        yield from ((usual, stimuli(usual, seed)) for seed in FEW)
    for of in (*_judged_apart(pair, within), *_one_call(pair, within)):
        yield from ((of, stimuli(of, seed)) for seed in FEW)


def more(pair: Pair) -> Iterator[tuple[Rig, Run]]:
    """More of such days; days on which all is well until something turns; days on which one limit switch
    sticks.
    """
    usual = _in_range(pair, rig(pair.usual, pair.whole))
    others = (*_judged_apart(pair, usual), *_one_call(pair, usual))
    for of in others:
        yield from ((of, stimuli(of, seed)) for seed in MORE)
    for seed in TURNS:
        yield usual, turning(usual, usual, seed)
        yield from ((of, turning(of, usual, seed)) for of in others)
    for stuck, switch, valve in _sticking(usual):
        for seed in SEEDS:
            run = stimuli(stuck, seed)
            yield stuck, run
            opens = stuck.fast.first(run, [valve])[0]
            if opens >= 0:
                yield stuck, _stays_on(run, switch, opens)


def turning(of: Rig, then: Rig, seed: int) -> Run:
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
    return made_up(of, (of.longest_ms,) * LONGEST_RUN, moves, following=of.follows)


def _sticking(usual: Rig) -> Iterator[tuple[Rig, str, str]]:
    """For each limit switch, that it alone does not follow its valve."""
    for switch, valve in usual.follows.items():
        if {switch, valve} <= usual.types.keys():
            follows = {name: other for name, other in usual.follows.items() if name != switch}
            yield attrs.evolve(usual, follows=follows), switch, valve


def _stays_on(run: Run, switch: str, opens: int) -> Run:
    """A run on which a limit switch goes on when its valve has first opened, and stays so."""
    return run.giving(switch, turns([(opens + 1, True)])).part(0)


def _in_range(pair: Pair, usual: Rig) -> Rig:
    """Measured values that no sensor gives are left out, as far as others are left: many a plan trips on
    them.
    """
    choices = dict(usual.choices)
    for name, values in choices.items():
        item = pair.usual.inputs.get(name)
        if item is not None and not item.is_digital:
            low, high = (as_handed(item, end) for end in (item.low, item.high))
            inside = tuple(sorted(value for value in values if low <= value <= high))
            choices[name] = inside if len(inside) > 1 else values
    return attrs.evolve(usual, choices=choices)


def _judged_apart(pair: Pair, usual: Rig) -> Iterator[Rig]:
    """Measured values kept among the limits that only one of the two has."""
    ours, theirs = (limits(side, pair.usual) for side in (pair.first, pair.second))
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


def _one_call(pair: Pair, usual: Rig) -> Iterator[Rig]:
    """For each of several calls, that it alone is on as usual."""
    called = [name for name, value in usual.favoured.items() if _calls(pair, usual, name, value)]
    for name in called if len(called) > 1 else ():
        others = dict.fromkeys((other for other in called if other != name), 0.0)
        yield attrs.evolve(usual, favoured={**usual.favoured, **others})


def _calls(pair: Pair, usual: Rig, name: str, value: float) -> bool:
    return usual.types.get(name) is Type.BOOL and bool(value) and not pair.usual.inputs[name].normal
