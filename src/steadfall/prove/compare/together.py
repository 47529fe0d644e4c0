"""What of two controllers always goes together, with lemmas where matching the states alone does not tell.

Rule of this file: what no sample tells apart is taken for the same, all at once; lemmas have to show that a
scan keeps it so, and that no output differs then. What they cannot show is no longer taken for the same, and
the rest is asked anew. So it holds by one induction, which cvc5 checks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from attrs import evolve

from steadfall.prove.compare.corresponding import Claim, pairs_of
from steadfall.prove.lemmas.grid import grids
from steadfall.prove.lemmas.joint import Joint
from steadfall.prove.lemmas.seen import Seen, seen
from steadfall.prove.lemmas.settle import Settling
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.sampled import sampled
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.dues import dues
from steadfall.prove.system.kept import Part
from steadfall.prove.system.merged import Same, same_parts
from steadfall.prove.system.slots import Slot
from steadfall.prove.system.step import Model
from steadfall.roles import Role

EACH = 2_000_000  # units of work for what one scan may tell apart
ROUNDS = 6  # times that something is given up

Alike = tuple[Slot, Slot]
Of = tuple[str, str, int]  # a stage, a part of the state that is alike in it, the stage's number


def together(
    part: Model, goals: Sequence[str], of: Callable[[], Rig], budget: Budget
) -> tuple[Sequence[Any], frozenset[str]]:
    """What holds before every scan, and the goals that it excludes; `part`: of single scans."""
    rows = sampled(part, of(), part.slots, power_cut=False)
    column = {slot.key: rows[:, at] for at, slot in enumerate(part.slots)}
    pairs = [
        (one, two)
        for one, two in pairs_of(part)
        if (one.initial, one.low, one.high) == (two.initial, two.low, two.high)
    ]
    alike = [(one, two) for one, two in pairs if (column[one.key] == column[two.key]).all()]
    known, given_up = same_parts(part), set[Of]()
    for _ in range(ROUNDS):
        others = [pair for pair in pairs if pair not in alike]
        claims = {key: one for key, one in _in_stages(part, others, pairs, column) if key not in given_up}
        equal = {f"apart!{number}": pair for number, pair in enumerate(alike)}
        said = {f"claim!{number}": key for number, key in enumerate(claims)}
        apart = {name: terms.Not(part.post[a.key] == part.post[b.key]) for name, (a, b) in equal.items()}
        broken = {name: terms.Not(claims[key].after) for name, key in said.items()}
        model = evolve(part, values={**part.values, **apart, **broken})
        joint = Joint(model, _merged(part, known, alike), [claim.before for claim in claims.values()])
        doubtful = _doubtful(joint, [*apart, *broken, *goals], budget)
        search = _settling(joint, rows[:, [part.slots.index(slot) for slot in joint.slots]])
        search.run(doubtful, EACH, budget=budget)
        left = {goal for goal in doubtful if search.needed(goal) is None}
        if not left & (equal.keys() | said.keys()):
            used = dict.fromkeys(row for goal in doubtful for row in search.needed(goal) or ())
            lemmas = [row.term(part.space, joint.pre) for row in used]
            return [*joint.always, *lemmas], frozenset(goals) - left
        alike = [pair for name, pair in equal.items() if name not in left]
        given_up |= {key for name, key in said.items() if name in left}
        if budget.empty:
            break
    return [], frozenset()


def _in_stages(
    part: Model, others: Sequence[Alike], pairs: Sequence[Alike], column: Mapping[str, Any]
) -> Iterator[tuple[Of, Claim]]:
    """That both circuits are in a stage or neither is; and what is alike while they are: equal, or of clocks
    both past all that they are compared with.
    """
    what, due = part.network.identities, dues(part.network)
    for first, second in pairs:
        if what[first.name].role is not Role.STAGE or first.part is not Part.LAST:
            continue
        own = [pair for pair in others if what[pair[0].name].circuit == what[first.name].circuit]
        for value in range(int(first.low), int(first.high) + 1):
            one, two = column[first.key] == value, column[second.key] == value
            both = [
                (values[first.key] == value, values[second.key] == value) for values in (part.pre, part.post)
            ]
            if (one == two).all() and (first, second) in others:
                yield (first.key, "", value), Claim(*(here == there for here, there in both))
            for pair in own:
                end = max((*due.get(pair[0].key, ()), *due.get(pair[1].key, ()), 0))
                if _like(pair, column, end)[one & two].all():
                    yield (first.key, pair[0].key, value), Claim(*_while(part, pair, both, end))


def _like(pair: Alike, column: Mapping[str, Any], end: int) -> Any:
    left, right = (column[slot.key] for slot in pair)
    return (left == right) | (pair[0].clock & (left >= end) & (right >= end))


def _while(part: Model, pair: Alike, both: Sequence[tuple[Any, Any]], end: int) -> Iterator[Any]:
    for values, there in zip((part.pre, part.post), both, strict=True):
        left, right = (values[slot.key] for slot in pair)
        past = [terms.And(left >= end, right >= end)] if pair[0].clock else []
        yield terms.Implies(terms.And(list(there)), terms.Or([left == right, *past]))


def _merged(part: Model, known: Same, alike: Sequence[Alike]) -> Same:
    """Each part by the first that is taken for the same."""
    order = {slot.key: at for at, slot in enumerate(part.slots)}
    found = dict(known)

    def first(key: str) -> str:
        while key in found:
            key = found[key]
        return key

    for one, two in alike:
        left, right = sorted((first(one.key), first(two.key)), key=order.__getitem__)
        if left != right:
            found[right] = left
    return {key: first(key) for key in found}


def _doubtful(joint: Joint, names: Sequence[str], budget: Budget) -> list[str]:
    """The goals that some scan comes to from where all that is claimed is so, or of which it is not known."""
    solver = Solver(joint.model.space)
    solver.add(joint.one(joint.model.allowed), joint.one(joint.model.ends), *map(joint.one, joint.always))
    goals = {name: terms.simplify(joint.one(joint.model.values[name])) for name in names}
    left = {name: goal for name, goal in goals.items() if not terms.is_false(goal)}
    found = dict[str, None]()
    while left:
        solver_says = solver.ask(budget, terms.Or(list(left.values())))
        if solver_says is not Answer.YES:
            break
        example = solver.example()
        hit = [name for name, goal in left.items() if terms.is_true(example.eval(goal, True))]
        found.update(dict.fromkeys(hit))
        left = {name: goal for name, goal in left.items() if name not in found}
    else:
        return list(found)
    return list(found) if solver_says is Answer.NO else [*found, *left]


def _settling(joint: Joint, rows: Any) -> Settling:
    @cache
    def see() -> Seen:
        return seen(joint, grids(joint.slots, joint.dues, joint.model.longest_ms), rows)

    return Settling(joint, see)
