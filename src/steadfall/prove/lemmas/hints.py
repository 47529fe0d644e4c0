"""Lemmas that were found for the same circuit with other numbers: which of them a scan keeps with these.

Rule of this file: a hint is tried as it was, and with its time moved as the edited number was. What is not so
before the first scan, or what a scan breaks, is given up until the rest is kept, all together.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from attrs import evolve, frozen

from steadfall.prove.lemmas.joint import Joint
from steadfall.prove.lemmas.lemma import NONE, Lemma
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.slots import Slot

MOVES = 12  # edited numbers by which the time of a hint is moved; of more it is tried as it was
NEAR = 100  # ms by which a time may lie below the number, or the two, that it is made of


@frozen
class Said:
    """A lemma in the keys of the state; "": the constant 0."""

    facts: tuple[tuple[str, int], ...]
    left: str
    right: str
    most: int

    @property
    def keys(self) -> frozenset[str]:
        """What it speaks of."""
        return frozenset((*(key for key, _ in self.facts), self.left, self.right))


def said(row: Lemma, slots: Sequence[Slot]) -> Said:
    """A lemma in the keys of the state."""
    left, right = ("" if place == NONE else slots[place].key for place in (row.left, row.right))
    return Said(tuple((slots[place].key, value) for place, value in row.facts), left, right, row.most)


def moved(hints: Sequence[Said], before: Sequence[float], now: Sequence[float]) -> list[Said]:
    """Hints as they were, and with their times moved as the numbers were that they may be made of."""
    pairs = {(round(old), round(new)) for old, new in zip(before, now, strict=True) if old != new}
    edits = sorted(pairs) if len(pairs) <= MOVES else []
    return list(dict.fromkeys(row for one in hints for row in _each(one, edits)))


def _each(one: Said, edits: Sequence[tuple[int, int]]) -> Iterator[Said]:
    yield one
    way = 1 if one.most > 0 else -1
    for old, new in edits:
        for times in (1, 2):
            if abs(one.most) >= times * old - NEAR:
                yield evolve(one, most=one.most + way * times * (new - old))


def read(rows: Iterable[Said], slots: Sequence[Slot]) -> list[Lemma]:
    """Lemmas in the places of the state; raises KeyError where one speaks of what there is not."""
    places = {slot.key: place for place, slot in enumerate(slots)} | {"": NONE}
    return [
        Lemma(
            tuple((places[key], value) for key, value in one.facts),
            places[one.left],
            places[one.right],
            one.most,
        )
        for one in rows
    ]


def standing(joint: Joint, hints: Sequence[Said], budget: Budget) -> list[Lemma]:
    """The hints that hold at first and that a scan keeps, all together; nothing where the budget is spent."""
    begin, known = [int(slot.initial) for slot in joint.slots], {"", *(slot.key for slot in joint.slots)}
    rows = read((one for one in hints if one.keys <= known), joint.slots)
    rows = [row for row in rows if not row.breaks(begin)]
    return _narrowest(_kept(joint, rows, budget)) if rows else []


def _kept(joint: Joint, rows: list[Lemma], budget: Budget) -> list[Lemma]:
    space, model = joint.model.space, joint.model
    after = [space.symbol(f"{slot.key}'", slot.initial) for slot in joint.slots]
    solver = Solver(space)
    solver.add(joint.one(model.allowed), joint.one(model.ends), *map(joint.one, joint.always))
    solver.add(*(one == term for one, term in zip(after, joint.post, strict=True)))
    used = [space.boolean(f"hint!{place}") for place in range(len(rows))]
    ends = [row.term(space, after) for row in rows]
    solver.add(*(terms.Implies(on, row.term(space, joint.pre)) for on, row in zip(used, rows, strict=True)))
    alive = list(range(len(rows)))
    while alive:
        broken = space.boolean(f"broken!{len(alive)}")
        solver.add(terms.Implies(broken, terms.Not(terms.And([ends[place] for place in alive]))))
        answer = solver.ask(budget, broken, *(used[place] for place in alive))
        if answer is not Answer.YES:
            return [rows[place] for place in alive] if answer is Answer.NO else []
        state = solver.values(after)
        alive = [place for place in alive if not rows[place].breaks(state)]
    return []


def _narrowest(rows: Iterable[Lemma]) -> list[Lemma]:
    """Of those that differ in their time alone, the one with the least."""
    found: dict[tuple[object, ...], Lemma] = {}
    for row in rows:
        key = row.facts, row.left, row.right
        if key not in found or row.most < found[key].most:
            found[key] = row
    return list(found.values())
