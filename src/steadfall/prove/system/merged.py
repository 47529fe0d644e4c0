"""Parts of a model's state that are always another one: the same at first, and the same after a scan if so
before.

Rule of this file: at first all that begin alike and have the same ends are taken for the same; two that a
scan may tell apart, even so, are not, until none is left. An invariant that leans on it says so, as an
equality, and is checked with it.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence

from steadfall.prove.solver import terms
from steadfall.prove.solver.outline import outline
from steadfall.prove.system.step import Model

Same = Mapping[str, str]  # key of a part -> key of the part that it always is


def same_parts(model: Model, *, watching: bool = False) -> Same:
    """Every part that is always another one, by that one.

    `watching`: also what watches the controller, with what it watches; no power cut keeps that.
    """
    slots = model.slots
    after = [terms.sorted_out(model.post[slot.key]) for slot in slots]
    written, names = outline(after), [model.pre[slot.key].get_id() for slot in slots]
    alike = _places(
        [
            (type(slot.initial), slot.initial, slot.low, slot.high, slot.clock, slot.spared and not watching)
            for slot in slots
        ]
    )
    while True:
        known: dict[int, Hashable] = {
            name: ("alike", place) for name, place in zip(names, alike, strict=True)
        }
        finer = _places(list(zip(alike, written.numbers(known), strict=True)))
        if finer == alike:
            return {
                slot.key: slots[place].key
                for slot, place in zip(slots, alike, strict=True)
                if slots[place] is not slot
            }
        alike = finer


def _places(rows: Sequence[Hashable]) -> list[int]:
    """For each row the place of the first that is equal to it."""
    first: dict[Hashable, int] = {}
    return [first.setdefault(row, place) for place, row in enumerate(rows)]
