"""Parts of a model's state that are always another one: the same at first, and the same after a scan if so
before.

Rule of this file: two are the same when their terms for the next state are, with what is known to be the same
put in. An invariant that leans on it says so, as an equality, and is checked with it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from steadfall.prove.solver import terms
from steadfall.prove.system.step import Model

Same = Mapping[str, str]  # key of a part -> key of the part that it always is


def same_parts(model: Model) -> Same:
    """Every part that is always another one, by that one."""
    own = {True: model.space.boolean("own"), False: model.space.whole("own")}
    found: dict[str, str] = {}
    after = {slot.key: terms.sorted_out(model.post[slot.key]) for slot in model.slots}
    while True:
        groups: dict[tuple[Any, ...], str] = {}
        new: dict[str, str] = {}
        kept = []  # a term that nobody keeps gives its number away
        for slot in model.slots:
            if slot.key in found:
                continue
            of_itself = (model.pre[slot.key], own[isinstance(slot.initial, bool)])
            term = terms.sorted_out(terms.substitute(after[slot.key], of_itself))
            kept.append(term)
            kind = (
                slot.initial,
                type(slot.initial),
                slot.low,
                slot.high,
                slot.clock,
                slot.watches,
                term.get_id(),
            )
            first = groups.setdefault(kind, slot.key)
            if first != slot.key:
                new[slot.key] = first
        if not new:
            return found
        found = {key: new.get(to, to) for key, to in found.items()} | new
        pairs = [(model.pre[key], model.pre[to]) for key, to in new.items()]
        after = {key: terms.sorted_out(terms.substitute(term, *pairs)) for key, term in after.items()}
