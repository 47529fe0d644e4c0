"""What lemmas say of the requirements, circuit by circuit, before any other engine is asked.

Rule of this file: circuits of one type ask the same question in other names; it is answered, and checked by
cvc5, once. What is asked, in which order and how hard follows from the requirements alone.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Sequence

from attrs import frozen

from steadfall.logic.cone import cone
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Or, Read, Type
from steadfall.prove.decide.abstraction import as_usual
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.before.remembered import Which, remembered
from steadfall.prove.decide.certificate import text_of
from steadfall.prove.decide.lemma_set import ByLemmas, LemmaSet, confirmed
from steadfall.prove.decide.processes import Hands
from steadfall.prove.lemmas.carry import Made, made
from steadfall.prove.lemmas.found import NAME, lemmas
from steadfall.prove.lemmas.hints import Said
from steadfall.prove.requirements.watch import TRIPPED, Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.system.canonical import Canonical
from steadfall.prove.system.step import Frame, Model, frame, model
from steadfall.roles import Identity, Role

SHARE = 10  # of the effort for a requirement that part is spent here
EVERY = "any of them"  # a signal: some requirement of a group is broken


@frozen
class Settled:
    """What is known of a requirement: its certificate, what cvc5 says of it, and how long that took."""

    certificate: ByLemmas
    rechecked: bool | None
    seconds: float


Answered = tuple[LemmaSet, Which, frozenset[str]]  # lemmas, those of each goal, goals that cvc5 confirms


@frozen(eq=False)
class Group:
    """Requirements that are settled together, and the part of the network that they depend on."""

    name: str  # of the circuit, or of the one requirement
    rows: tuple[Required, ...]
    part: Network
    freed: tuple[str, ...]

    def asked(self, of: Watched) -> Canonical:
        """What is asked, without its names."""
        reads = tuple(Read(row.bad, Type.BOOL) for row in self.rows)
        every = Assignment(EVERY, Type.BOOL, Or(reads), initial=False)
        whole = Network(self.part.inputs, (*self.part.assignments, every), ())
        return of.canonical(whole, EVERY)

    @property
    def sort(self) -> Hashable:
        """The same for all that ask the same in other names, and for few others."""
        return len(self.rows), *(frozenset(Counter(kinds).items()) for kinds in _kinds(self.part))


Asking = tuple[Group, Canonical | None]  # None: no other group can ask the same


def _kinds(part: Network) -> tuple[Iterable[Hashable], Iterable[Hashable]]:
    """What the rows of a network are, without their names."""
    return (row.type for row in part.inputs), ((row.type, type(row.node)) for row in part.assignments)


def by_lemmas(of: Watched, chosen: Sequence[Required], ask: Ask, own: Hands) -> dict[str, Settled]:
    """What lemmas exclude, by name of the requirement."""
    if NAME not in ask.engines or not chosen:
        return {}
    every = [(group, group.sort) for group in groups(of, chosen)]
    sorts, alike = Counter(sort for _, sort in every), dict[Hashable, list[Asking]]()
    for group, sort in every:
        own.patience.check()
        asked = group.asked(of) if sorts[sort] > 1 else None
        alike.setdefault(asked.question if asked else sort, []).append((group, asked))
    found: dict[str, Settled] = {}
    for settled in own.each(_settled, of, [(rows, ask) for rows in alike.values()]):
        found |= settled
    return found


def groups(of: Watched, chosen: Sequence[Required]) -> Iterator[Group]:
    """The requirements of each circuit together; of those of no circuit each that speaks of some by itself.

    What speaks of trips alone is left to the other engines: its state is a bit for each trip, which samples
    tell little of. But after a power cut the times of a trip and of its observer are apart; lemmas say how.
    """
    found: dict[str, list[Required]] = {}
    own = of.network.identities
    for row in chosen:
        of_trips = of.faults.power_cut and TRIPPED in row.shown
        if row.circuit or of_trips or any(own[name].circuit for name in row.shown):
            found.setdefault(row.circuit or row.name, []).append(row)
    for name, rows in found.items():
        yield group_of(of, name, rows)


def group_of(of: Watched, name: str, rows: Sequence[Required]) -> Group:
    """Some requirements of one circuit, or one of none, as a group."""
    own = of.network.identities
    of_some = any(own[one].circuit for one in rows[0].shown)
    free = as_usual(name) if rows[0].circuit else _trips if of_some else _nothing
    given = {row.name for row in of.network.inputs}
    part = cone(of.network, [row.bad for row in rows], lambda signal: free(own[signal]))
    return Group(name, tuple(rows), part, tuple(sorted({row.name for row in part.inputs} - given)))


def _trips(signal: Identity) -> bool:
    """Whether it is free where a requirement is of no circuit: only what has tripped."""
    return signal.role is Role.TRIPPED


def _nothing(_signal: Identity) -> bool:
    """What trips is asked of trips alone."""
    return False


def _settled(of: Watched, given: tuple[Sequence[Asking], Ask]) -> dict[str, Settled]:
    """What lemmas exclude in the first of some groups that ask the same, and so in all of them."""
    ((group, asked), *others), ask = given
    begin = time.monotonic()
    kept, which, passed = _answered(of, group, ask)
    seconds = (time.monotonic() - begin) / (len(group.rows) * (1 + len(others)))
    settled: dict[str, Settled] = {}
    for other, names in ((group, asked), *others):
        own = _in_other_names(kept, asked, other, names) if asked and names and other is not group else kept
        for row, mine in zip(other.rows, group.rows, strict=True):
            if mine.bad in which:
                said = mine.bad in passed if ask.recheck else None
                settled[row.name] = Settled(ByLemmas(own, which[mine.bad]), said, seconds)
    return settled


def _answered(of: Watched, group: Group, ask: Ask) -> Answered:
    """What an earlier run of the program has found, else the same carried over to other numbers, else what is
    found with its hints, else without.
    """
    known, goals = remembered(of, group.part, group.rows, ask), [row.bad for row in group.rows]
    if known is None:
        return _searched(of, group, ask)[0]
    blank = LemmaSet(group.name, group.freed, tuple(row.name for row in group.rows), ())
    part = _frame(of, group)
    again = known.recall(part, blank, goals)
    if again is not None:
        return *again, frozenset(goals)
    moved = known.carry(part, blank, goals)
    if moved is not None:
        known.keep(*moved)
        return *moved[:2], frozenset(goals)
    hints = known.hints()
    found, kept = _searched(of, group, ask, hints)
    if hints and len(found[2]) < len(goals):
        found, kept = _searched(of, group, ask)
    if len(found[2]) == len(goals):
        known.keep(*found[:2], *kept)
    return found


def _searched(
    of: Watched, group: Group, ask: Ask, hints: Sequence[Said] = ()
) -> tuple[Answered, tuple[Sequence[Said], Made]]:
    cuts, goals = of.faults.power_cut, [row.bad for row in group.rows]
    part, effort = _model(of, group), ask.effort // SHARE
    found = lemmas(part, goals, lambda: rig(of.plan, group.part), effort, power_cut=cuts, hints=hints)
    about = tuple(row.name for row in group.rows)
    kept = LemmaSet(group.name, group.freed, about, tuple(map(text_of, found.lemmas)))
    passed = confirmed(part, kept, found.which) if ask.recheck and found.which else frozenset[str]()
    return (kept, found.which, passed), (found.said, made(part, found.same))


def _model(of: Watched, group: Group) -> Model:
    return model(group.part, of.plan.scan.longest_ms, power_cut=of.faults.power_cut, single=True)


def _frame(of: Watched, group: Group) -> Frame:
    return frame(group.part, of.plan.scan.longest_ms, power_cut=of.faults.power_cut, single=True)


def _in_other_names(kept: LemmaSet, asked: Canonical, other: Group, names: Canonical) -> LemmaSet:
    """The same lemmas of another circuit of the same type."""
    texts = tuple(names.put_back(asked.take_out(text)) for text in kept.lemmas)
    return LemmaSet(other.name, other.freed, tuple(row.name for row in other.rows), texts)


__all__ = ["Group", "Settled", "by_lemmas", "group_of", "groups"]
