"""What people do in made-up inputs: calls that are let go and made again, where a plan asks for that, valves
that are moved by hand, tests of valves.

Rule of this file: a call that stands when power comes counts for nothing, so it is made in the step after;
and it is made anew after much that happens, as what has once been cut would stay so otherwise.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence

from steadfall.prove.runs.rig import Rig

Move = tuple[int, str, float]  # scan or step, input, value
RENEWED = 400  # events of a run after which calls may be made anew
OFTEN = 0.7  # of those
SOON = (1, 1, 2, 5, 20)  # how long after an event
LONG = (1, 1, 2, 5)  # how long a call is let go, or a button pressed
HASTY = 0.7  # runs in which a button is pressed again soon after something
OTHERS = 0.5  # of the runs in which nobody tests valves
UNDISTURBED = 0.5  # of the others: nothing else changes meanwhile
TRIED = (3, 12, 40)  # so many tests are begun, or keys turned
AGAIN = 0.5  # so often the same valve is moved once more
MOVED = (1, 2, 5)  # valves by hand before the key is turned back


def made_anew(
    of: Rig,
    luck: random.Random,
    moves: Sequence[Move],
    usual: Callable[[Rig, random.Random, str], float],
    other: Iterable[int] = (),
) -> list[Move]:
    """Some moves with calls that are made anew after some of them, and after `other` events."""
    names = sorted(of.let_go.keys() & of.types.keys())
    if not names:
        return list(moves)
    found = [(1 if at == 0 and name in of.let_go else at, name, value) for at, name, value in moves]
    found += [(0, name, of.let_go[name]) for name in names]
    events = sorted({*other, *(at for at, name, _ in moves if at > 0 and name not in of.let_go)})
    for event in luck.sample(events, min(len(events), RENEWED)):
        at = event + luck.choice(SOON)
        again = at + luck.choice(LONG)
        for name in names if luck.random() < OFTEN else ():
            found += [(at, name, of.let_go[name]), (again, name, usual(of, luck, name))]
    return found


def moved_by_hand(
    of: Rig, luck: random.Random, moves: list[Move], steps: int, waits: Sequence[int]
) -> list[Move]:
    """Where a plan has a hand mode: in every other run somebody turns its key now and then, moves valves once
    the circuits may have come to rest, and turns it back, seldom with a valve still open. `waits`: how long
    that rest takes.
    """
    if not (of.keys and of.by_hand) or luck.random() < OTHERS:
        return moves
    found, names, here = list(moves), sorted(of.by_hand), 0
    for at in sorted(luck.randrange(1, max(2, steps)) for _ in range(luck.choice(TRIED))):
        if at < here:
            continue  # the key is still turned
        here = at + luck.choice(waits)
        found += [(at, name, value) for name, value in of.keys.items()]
        name = luck.choice(names)
        for _ in range(luck.choice(MOVED)):
            name = name if luck.random() < AGAIN else luck.choice(names)
            found.append((here, name, of.by_hand[name]))
            here += luck.choice((*SOON, waits[1]))
            found.append((here + luck.choice((0, 0, 1, 2)), name, 1.0 - of.by_hand[name]))
            here += luck.choice((0, 0, 0, *SOON))
        found += [(here, name, 1.0 - value) for name, value in of.keys.items()]
    return found


def tried(of: Rig, luck: random.Random, moves: list[Move], steps: int) -> list[Move]:
    """Where a plan tests its valves: in every other run nobody calls, for half of it or all, and somebody
    begins a test again and again, at times with nothing else going on.
    """
    if not of.tests or luck.random() < OTHERS:
        return moves
    calls, until = {*of.uncalled, *of.starts}, luck.choice((steps // 2, steps))
    kept = [move for move in moves if move[0] > until or move[1] not in calls]
    if luck.random() < UNDISTURBED:
        names = {name for at, name, _ in moves if at == 0}
        usual = [(0, name, of.ends.get(name, of.favoured.get(name, 0.0))) for name in sorted(names)]
        kept = [*usual, *(move for move in moves if move[0] > until)]
    kept += [(0, name, value) for name, value in of.uncalled.items() if name in of.types]
    for scan in (luck.randrange(1, max(2, steps)) for _ in range(luck.choice(TRIED))):
        kept += [(scan, of.tests, 1.0), (scan + luck.choice(LONG), of.tests, 0.0)]
    return kept


def presses(of: Rig, luck: random.Random, steps: int, events: Iterable[int] = ()) -> list[Move]:
    """Somebody begins by the buttons that begin a call, and again now and then; in most runs soon after much
    else that happens, so that a finish is cut short.
    """
    known = sorted({event for event in events if event > 0})
    moves: list[Move] = []
    for name in of.starts:
        again = [luck.randrange(1, max(2, steps)) for _ in range(luck.choice([0, 3, 12]))]
        pressed = [(scan, luck.randint(1, 50)) for scan in (luck.randint(1, 5), *again)]
        if luck.random() < HASTY:
            after = luck.sample(known, min(len(known), RENEWED))
            pressed += [(event + luck.choice(SOON), luck.choice(LONG)) for event in after]
        for scan, lasts in sorted(pressed):
            moves += [(scan, name, 1.0), (scan + lasts, name, 0.0)]
    return moves
