"""The plainest lemma that excludes a state and that nothing seen breaks.

Rule of this file: fewer facts come first, then a bound that some state comes to exactly, then a bound on one
clock, then one on two. Of several that are as plain the first counts, so the outcome is always the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Any

import numpy as np

from steadfall.prove.lemmas.grid import FAR
from steadfall.prove.lemmas.lemma import NONE, Lemma, State
from steadfall.prove.lemmas.seen import View

MOST_FACTS = 3
ROUGH = 1.5  # a bound that no state comes to exactly counts as so many facts more
TELLING = 24  # parts of which two or three are taken together
FOUR = 14  # of these, parts of which four are
TRIED = 400  # bounds of a size that are looked at
LOOK, A_UNIT = 3_000, 10  # units of work of a look; cells of what has been seen that take one more

Found = tuple[float, Lemma]  # its cost, the less the plainer


def work(view: View) -> int:
    """What it takes to look through what has been seen, in the solver's units: as long as so many of them."""
    return LOOK + len(view.modes) * max(1, len(view.plain)) * len(view.clocks) ** 2 // A_UNIT


def excluding(view: View, state: State) -> Found | None:
    """The plainest lemma of those that a state breaks and nothing seen does; None where there is none."""
    ages = np.array([0 if place == NONE else state[place] for place in view.clocks])
    apart = ages[:, None] - ages[None, :]
    values = np.array([state[place] for place in view.plain])
    alike = view.modes == values  # by mode and part: is it as in the state
    many = len(view.clocks)
    reached = (view.rests >= apart).reshape(len(alike), many * many)
    own = np.arange(many) * (many + 1)
    reached[:, own] = True  # the same clock twice: that the facts are so together
    free = ~reached[alike.all(axis=1)].any(axis=0)
    free[own[1:]] = False
    pairs = np.flatnonzero(free)
    if not len(pairs):
        return None
    return _plainest(view, state, alike, (pairs, reached[:, pairs]))


def _plainest(view: View, state: State, alike: Any, asked: tuple[Any, Any]) -> Found | None:
    """Of fewer facts first, until more facts cannot be plainer."""
    (pairs, reached), best = asked, None
    so = np.ones((len(alike), 1), dtype=bool)
    guards: Sequence[tuple[int, ...]] = [()]
    for size in range(MOST_FACTS + 1):
        if size:
            guards = list(
                combinations(_telling(alike, reached) if size > 1 else range(len(view.plain)), size)
            )
            if not guards:
                break
            columns = np.array(guards)
            so = alike[:, columns].all(axis=2)
        excluded = _together(so, reached) == 0
        for one in _of_a_size(view, state, (guards, so), (pairs, excluded)):
            if best is None or one[0] < best[0]:
                best = one
        if best is not None and best[0] < size + 1:
            break
    else:
        four = _never(view, state, alike, reached)
        if four is not None and (best is None or four[0] < best[0]):
            return four
    return best


def _never(view: View, state: State, alike: Any, reached: Any) -> Found | None:
    """Four facts that are never so together, of the parts that tell most."""
    guards = list(combinations(_telling(alike, reached)[:FOUR], MOST_FACTS + 1))
    if not guards:
        return None
    so = alike[:, np.array(guards)].all(axis=2)
    never = np.flatnonzero(~so.any(axis=0))
    if not len(never):
        return None
    facts = tuple((view.plain[place], int(state[view.plain[place]])) for place in guards[never[0]])
    return float(MOST_FACTS), Lemma(facts, NONE, NONE, 0)


def _telling(alike: Any, reached: Any) -> list[int]:
    """The parts that tell the state from most of what has been seen, in order."""
    ruled_out = _together(~alike, reached)
    return sorted(np.argsort(-ruled_out.sum(axis=1), kind="stable")[:TELLING].tolist())


def _together(one: Any, other: Any) -> Any:
    """In how many samples each column of one and each of the other hold at once."""
    # Of noughts and ones nothing is invalid; a matrix product may raise the flag from what it pads rows with.
    with np.errstate(invalid="ignore"):
        return one.T.astype(np.float32) @ other.astype(np.float32)


def _of_a_size(view: View, state: State, modes: Any, asked: Any) -> Iterator[Found]:
    """Lemmas of so many facts, up to the first that cannot be bettered."""
    (guards, so), (pairs, excluded) = modes, asked
    many = len(view.clocks)
    rows, columns = np.nonzero(excluded)
    two = (pairs[columns] % many != many - 1) & (pairs[columns] // many != many - 1)
    two[pairs[columns] == 0] = False
    never = pairs[columns] == 0
    for at in np.lexsort((rows, two, ~never))[:TRIED]:
        one, other = divmod(int(pairs[columns[at]]), many)
        facts = tuple((view.plain[place], int(state[view.plain[place]])) for place in guards[rows[at]])
        if one == other:
            if facts:
                yield len(facts) - 1.0, Lemma(facts, NONE, NONE, 0)
                return
            continue
        here = so[:, rows[at]]
        most = int(view.rests[here, one, other].max())
        if most >= FAR:
            continue
        exact = int(view.most[here, one, other].max()) == most
        cost = len(facts) + 0.2 + 0.01 * bool(two[at]) - 0.1 * (most == 0) + (0 if exact else ROUGH)
        yield cost, Lemma(facts, view.clocks[one], view.clocks[other], most)
        if exact:
            return
