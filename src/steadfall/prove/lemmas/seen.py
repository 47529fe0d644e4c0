"""What has been seen of the state: in which modes it comes, and how far clocks are apart in each.

Rule of this file: a mode is what is true or false and what is whole. What a scan may come to, for all that is
known, counts as seen too; of it only some parts may be known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from attrs import define, field, frozen

from steadfall.prove.lemmas.grid import FAR, Grids, rest
from steadfall.prove.lemmas.joint import Bits, Joint, measured, places
from steadfall.prove.lemmas.lemma import NONE
from steadfall.prove.system.kept import STARTED
from steadfall.prove.system.slots import Slot
from steadfall.runs.strides import farthest

UNKNOWN = -(1 << 61)  # of a part: what it is; of two clocks: how far they are apart
_WEIGHTS = np.random.default_rng(2).integers(1, 2**62, 4096)  # any numbers would do


@frozen(eq=False)
class View:
    """What has been seen of some parts: values of what is plain int64[modes, plain]; the farthest that clocks
    are apart, and where that comes to rest, int64[modes, clocks, clocks]; the last clock is the constant 0.
    """

    plain: Sequence[int]  # places
    clocks: Sequence[int]
    modes: Any
    most: Any
    rests: Any

    def with_more(self, others: Sequence[View]) -> View:
        """With other modes of the same parts besides."""
        if not others:
            return self
        every = (self, *others)
        rows = ([one.modes for one in every], [one.most for one in every], [one.rests for one in every])
        return View(self.plain, self.clocks, *map(np.concatenate, rows))

    def part(self, parts: Bits) -> View:
        """Of some parts only, each mode once."""
        plain = [at for at, place in enumerate(self.plain) if parts >> place & 1]
        clocks = [at for at, place in enumerate(self.clocks) if place == NONE or parts >> place & 1]
        two = np.ix_(range(len(self.modes)), clocks, clocks)
        rows = self.modes[:, plain], self.most[two], self.rests[two]
        rows = _once(*rows) if len(self.modes) > 1 else rows
        return View([self.plain[at] for at in plain], [self.clocks[at] for at in clocks], *rows)


def _once(modes: Any, most: Any, rests: Any) -> tuple[Any, Any, Any]:
    """Each mode once, with the farthest of all its rows."""
    _, first, which = np.unique(modes @ _WEIGHTS[: modes.shape[1]], return_index=True, return_inverse=True)
    order = np.argsort(which.ravel(), kind="stable")
    starts = np.searchsorted(which.ravel()[order], np.arange(len(first)))
    return modes[first], *(np.maximum.reduceat(rows[order], starts, axis=0) for rows in (most, rests))


@define(eq=False)
class Seen:
    """What samples show, and what scans may come to for all that is known."""

    slots: Sequence[Slot]
    grids: Grids
    sampled: View
    _more: list[tuple[Bits, View]] = field(factory=list)
    _views: dict[Bits, tuple[int, View]] = field(factory=dict)

    def view(self, parts: Bits) -> View:
        """All that has been seen of some parts."""
        many, view = self._views.get(parts) or (0, self.sampled.part(parts))
        fresh = [more for known, more in self._more[many:] if known & parts]
        if fresh:
            view = view.with_more([fresh[0].with_more(fresh[1:]).part(parts)])
        self._views[parts] = len(self._more), view
        return view

    def add(self, state: Sequence[int], known: Bits, wider: Mapping[tuple[int, int], int]) -> None:
        """A state of which some parts are known. `wider`: two clocks whose distance comes to rest so many
        constants further.
        """
        view = self.sampled
        modes = np.array([[state[place] if known >> place & 1 else UNKNOWN for place in view.plain]])
        there = [place == NONE or bool(known >> place & 1) for place in view.clocks]
        ages = [0 if place == NONE else state[place] for place in view.clocks]
        most = np.full((1, len(ages), len(ages)), UNKNOWN)
        rests = most.copy()
        for one, left in enumerate(view.clocks):
            for two, right in enumerate(view.clocks):
                if one != two and there[one] and there[two]:
                    most[0, one, two] = apart = ages[one] - ages[two]
                    rests[0, one, two] = rest(self.grids[left, right], apart, wider.get((left, right), 0))
        self._more.append((known, View(view.plain, view.clocks, modes, most, rests)))

    def forget(self) -> None:
        """Only what samples show is left."""
        self._more.clear()
        self._views.clear()


def seen(joint: Joint, grids: Grids, rows: Any) -> Seen:
    """What samples show; `rows`: int64[states, slots]."""
    slots = joint.slots
    plain = [place for place, slot in enumerate(slots) if not measured(slot) and slot.key != STARTED]
    clocks = [place for place, slot in enumerate(slots) if measured(slot) and slot.key not in joint.unsaid]
    values = rows[:, plain]
    _, first, which = np.unique(values @ _WEIGHTS[: len(plain)], return_index=True, return_inverse=True)
    ages = np.concatenate([rows[:, clocks], np.zeros((len(rows), 1), dtype=np.int64)], axis=1)
    most = np.full((len(first), len(clocks) + 1, len(clocks) + 1), UNKNOWN)
    farthest(which.ravel(), ages, most)
    rests, every = np.full_like(most, UNKNOWN), [*clocks, NONE]
    for one, left in enumerate(every):
        for two, right in enumerate(every):
            if one != two:
                rests[:, one, two] = rest(grids[left, right], most[:, one, two])
    for at, place in enumerate(clocks):
        if slots[place].key in joint.settings:
            rests[:, at, -1] = rests[:, -1, at] = FAR
    return Seen(slots, grids, View(plain, every, values[first], most, rests))


__all__ = ["FAR", "UNKNOWN", "Seen", "View", "places", "seen"]
