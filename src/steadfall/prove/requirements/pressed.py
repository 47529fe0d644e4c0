"""Buttons as an observer sees them: worked out from the plan's text again.

Rule of this file: as in `prove.requirements.derived`. What was pressed before power came has not just been
pressed, and a power cut ends what a press has begun.
"""

from __future__ import annotations

from steadfall.logic.forms import all_of, any_of, opposite
from steadfall.logic.nodes import Node, Previous, Read, ResetDominant, Type
from steadfall.plan.model import ButtonCall
from steadfall.prove.requirements.watch import Watch


def is_pressed(watch: Watch, button: str) -> Node:
    """A button is not as it normally is."""
    now, item = Read(button, Type.BOOL), watch.plan.inputs[button]
    return opposite(now) if item.normal else now


def just_pressed(watch: Watch, button: str, label: str) -> Node:
    """A button is pressed, and was not in the scan before."""
    mark = watch.plan.inputs[button].at.own
    down = watch.forgotten(f"{label}:down", is_pressed(watch, button), mark, initial=True)
    return all_of((down, opposite(Previous(down.name, Type.BOOL))))


def latched(watch: Watch, call: ButtonCall, label: str) -> Read:
    """A call by buttons has been begun and not been ended."""
    begins = just_pressed(watch, call.start, label)
    ends = any_of((is_pressed(watch, call.stop), opposite(watch.free)))
    return watch.forgotten(label, ResetDominant(begins, ends), call.at.own)
