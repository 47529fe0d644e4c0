"""The lemmas of a system: from the model to what each goal rests on.

Rule of this file: the order only; each part is a file of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from typing import Any

from attrs import frozen

from steadfall.prove.lemmas.grid import grids
from steadfall.prove.lemmas.hints import Said, said, standing
from steadfall.prove.lemmas.joint import Joint
from steadfall.prove.lemmas.lemma import Lemma
from steadfall.prove.lemmas.seen import Seen, seen
from steadfall.prove.lemmas.settle import Settling
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.sampled import sampled
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.merged import Same
from steadfall.prove.system.step import Model

NAME = "lemmas"


@frozen(eq=False)
class Found:
    """Lemmas as terms over the state before a scan, and for each goal that they exclude the places of its
    own.
    """

    lemmas: Sequence[Any]
    which: dict[str, tuple[int, ...]]
    said: Sequence[Said]  # those that are not so of themselves
    same: Same  # the parts of the state that are


def lemmas(
    model: Model,
    goals: Sequence[str],
    of: Callable[[], Rig],
    effort: int,
    *,
    power_cut: bool,
    hints: Sequence[Said] = (),
) -> Found:
    """Lemmas that every scan keeps and that exclude goals, those that can be found within so much effort for
    each goal. `model`: of single scans. `hints`: lemmas that may be so.
    """
    joint = Joint(model)

    @cache
    def rows() -> Any:
        return sampled(model, of(), joint.slots, power_cut=power_cut)

    def see(*, finer: bool = False) -> Seen:
        return seen(joint, grids(joint.slots, joint.dues, model.longest_ms, finer=finer), rows())

    search = Settling(joint, see)
    search.begin(standing(joint, hints, Budget(effort)))
    search.run(goals, effort)
    needed = _needed(search, goals)
    if left := [goal for goal in goals if goal not in needed]:
        again = Settling(joint, partial(see, finer=True))
        again.run(left, effort, tries=2)
        needed |= _needed(again, left)
    return _found(joint, {goal: needed[goal] for goal in goals if goal in needed})


def _needed(search: Settling, goals: Sequence[str]) -> dict[str, list[Lemma]]:
    return {goal: own for goal in goals if (own := search.needed(goal)) is not None}


def _found(joint: Joint, needed: Mapping[str, Sequence[Lemma]]) -> Found:
    used = list(dict.fromkeys(row for own in needed.values() for row in own))
    first = len(joint.always)
    place = {row: first + number for number, row in enumerate(used)}
    which = {goal: (*range(first), *sorted(place[row] for row in own)) for goal, own in needed.items()}
    texts = [*joint.always, *(row.term(joint.model.space, joint.pre) for row in used)]
    return Found(texts, which, [said(row, joint.slots) for row in used], joint.same)
