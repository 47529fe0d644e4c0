"""Judges conditions that say nothing: they can never be true, or never be false.

Rule of this file: see `plan.check.whole`. A plain `true` or `false` is meant; what comes to the same by
itself is a slip.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from steadfall.plan.meaning.conditions import (
    Stated,
    controller_conditions,
    parts_of,
    requirement_conditions,
    walk,
)
from steadfall.plan.meaning.names import signals, timers
from steadfall.plan.meaning.truth import Scene, can_be
from steadfall.plan.model import Plan
from steadfall.plan.model.condition import (
    After,
    Always,
    And,
    Compare,
    Condition,
    Goes,
    Held,
    InStage,
    Not,
    Or,
    OutOfRange,
    Passed,
    Signal,
)
from steadfall.plan.problems import Problems, short
from steadfall.plan.text.speak import speak

WHAT = {
    "climb": "the climb",
    "call": "the call",
    "done": "the end of a cool-down",
    "hand": "the hand mode",
    "hold": "the hold",
    "ramp": "the ramp's 'when'",
    "permissive": "the permissive",
    "trip": "the trip",
    "reset": "the reset",
    "requirement": "the requirement",
}


def conditions_can_change(plan: Plan, problems: Problems) -> None:
    """Every condition, and every part of one, can be true and can be false."""
    known = signals(plan)
    for stated in (*controller_conditions(plan), *requirement_conditions(plan)):
        scene = Scene(plan, known, stated.circuit)
        if all(_is_known(part, scene) for part in walk(stated.condition)):
            for part in _fixed(stated.condition, scene):
                _say(part, stated, scene, problems)


def _is_known(part: Condition, scene: Scene) -> bool:
    """Whether a statement could be read and is about something; what could not was said where it stands."""
    if isinstance(part, InStage):
        return part.stage in (*scene.states(part.circuit), "finishing") and bool(scene.states(part.circuit))
    if isinstance(part, Signal | Compare | Goes | OutOfRange) and scene.name(part.name) not in scene.known:
        return False
    if isinstance(part, Passed) and part.name not in timers(scene.plan):
        return False
    return not isinstance(part, Compare | OutOfRange) or all(
        math.isfinite(end) for end in scene.good(part.name)
    )


def _fixed(condition: Condition, scene: Scene) -> Iterator[Condition]:
    """The condition, or its outermost parts, that cannot change."""
    if isinstance(condition, Always | After):
        return
    if len(can_be(condition, scene)) == 1:
        yield condition
        return
    for part in parts_of(condition):
        if isinstance(part, And | Or | Held | Not):
            yield from _fixed(part, scene)


def _say(part: Condition, stated: Stated, scene: Scene, problems: Problems) -> None:
    always = True in can_be(part, scene)
    whole = part is stated.condition
    words = "can never be false" if always else "can never be true"
    what = "" if whole else f", so this part of {WHAT[stated.role]} says nothing"
    expected = "a condition that can be true and can be false"
    slug = "always-true" if always else "never-true"
    problems.add(part.mark, slug, stated.key, f"'{short(speak(part))}' {words}{what}", expected)


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (conditions_can_change,)
