"""Lemmas that were found for a circuit with other numbers, carried over to the numbers that it has now.

Rule of this file: the bound of a lemma was one of the constants that the times of its clocks make; it becomes
the constant that the times make now which stand in the same places. Where it may be one of several it is the
first. Nothing is believed here: cvc5 is asked about the outcome, and where it does not hold all is searched.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from attrs import evolve, frozen

from steadfall.prove.lemmas.grid import bounds, of_others, times
from steadfall.prove.lemmas.hints import Said, read
from steadfall.prove.lemmas.joint import always, kept, measured
from steadfall.prove.lemmas.lemma import NONE
from steadfall.prove.system.dues import meetings
from steadfall.prove.system.merged import Same
from steadfall.prove.system.step import Frame

Times = Mapping[str, Sequence[int]]  # of each clock that is kept, in the order of the network


@frozen
class Made:
    """What lemmas are made of: parts of the state that are the same, times of clocks, the longest scan."""

    same: Same
    times: Times
    longest_ms: int


def made(about: Frame, same: Same) -> Made:
    """What the lemmas of a system are made of."""
    met: dict[str, list[int]] = {}
    for clock, found in meetings(about.network):
        met.setdefault(same.get(clock, clock), []).extend(found)
    clocks = [slot for slot in kept(about, same) if measured(slot)]
    return Made(same, {slot.key: times(slot, met.get(slot.key, ())) for slot in clocks}, about.longest_ms)


def carried(said: Sequence[Said], before: Made, now: Made) -> list[Said]:
    """The same lemmas with the bounds that these times give; raises ValueError where they are not as
    many as before, or make no such bound.
    """
    return [evolve(one, most=_bound(one, before, now)) for one in said]


def _bound(one: Said, before: Made, now: Made) -> int:
    if one.left == one.right or before == now:
        return one.most
    pairs = zip(_bounds(one, before), _bounds(one, now), strict=True)
    found = next((now for was, now in pairs if was == one.most), None)
    if found is None:
        raise ValueError(one.most)
    return found


def _bounds(one: Said, of: Made) -> Iterator[int]:
    """What the bound of a lemma may be: of the times of its own clocks first, then of those of others."""
    clocks = (0 if one.left else NONE, 0 if one.right else NONE)
    own = [*of.times.get(one.left, ()), *of.times.get(one.right, ())]
    yield from bounds(clocks, own, own, of.longest_ms)
    yield from of_others([time for found in of.times.values() for time in found], of.longest_ms)


def as_terms(about: Frame, same: Same, said: Sequence[Said]) -> list[Any]:
    """What is so of itself and some lemmas, as terms over the state; raises KeyError."""
    slots = kept(about, same)
    state = [about.pre[slot.key] for slot in slots]
    return [*always(about, same), *(row.term(about.space, state) for row in read(said, slots))]
