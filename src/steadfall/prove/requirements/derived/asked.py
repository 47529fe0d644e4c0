"""That a valve does what is asked of it in idle: by hand, or in its turn of a test.

Rule of this file: as in `derived.guards`.
"""

from __future__ import annotations

from collections.abc import Callable

from attrs import evolve, frozen

from steadfall.logic.forms import FALSE, all_of, any_of, opposite
from steadfall.logic.nodes import Node, Previous, Type
from steadfall.plan.meaning.aloud import together
from steadfall.plan.meaning.person.hand import excluded_by, inlets_of, outlets_of
from steadfall.plan.model import Feeder
from steadfall.prove.requirements.derived.guards import feeders_of, stands_long
from steadfall.prove.requirements.supplied import lead_over
from steadfall.prove.requirements.watch import Said, Watch, command, command_before


@frozen
class Asking:
    """When valves are moved, and which of them is then asked to be open."""

    ready: Node
    asked: Callable[[str], Node]


def as_asked(watch: Watch, name: str, asking: Asking, said: Said) -> None:
    """Requires it of one valve; `said` has the first words of the sentence."""
    others, outlets = excluded_by(watch.plan, name), outlets_of(watch.plan, name)
    feeders, inlets = feeders_of(watch, name), inlets_of(watch.plan, name)
    lets_in = any_of(command_before(one) for one in inlets)
    waits = any_of(
        (
            *(any_of((asking.asked(one), command_before(one))) for one in others),
            *(opposite(all_of((asking.asked(one), command_before(one)))) for one in outlets),
            *(opposite(_was_there(watch, one)) for one in feeders),
        )
    )
    asked = all_of((asking.asked(name), opposite(waits)))
    opens = watch.signal(
        f"{said.name}:opens", all_of((asking.ready, any_of((asked, lets_in)))), said.marks[0]
    )
    cut, now, before = watch.cut(name, said.name), command(name), command_before(name)
    excused = any_of((cut, opposite(stands_long(watch, name, f"{said.name}:shut", wanted=False))))
    fails = all_of((opens, opposite(now), opposite(any_of((excused, before)))))
    drops = all_of((opens, before, opposite(now), opposite(cut)))
    long = stands_long(watch, name, f"{said.name}:open", wanted=True)
    stays = all_of((asking.ready, opposite(opens), now, long))
    words = (
        f"{said.sentence}{_unless(others, outlets, feeders)}, unless it is cut or in its shortest pause, and "
    )
    words += "at no other time once its shortest opening is over"
    words += (
        f"; it stays open while {together(inlets)} {'were' if len(inlets) > 1 else 'was'}."
        if lets_in != FALSE
        else "."
    )
    said = evolve(said, sentence=words)
    watch.require(said, any_of((fails, drops, stays)), all_of((opens, now)))


def _was_there(watch: Watch, item: Feeder) -> Node:
    """The lead of a main valve or pump was over in the scan before."""
    return Previous(lead_over(watch, item).name, Type.BOOL)


def _unless(others: tuple[str, ...], outlets: tuple[str, ...], feeders: tuple[Feeder, ...]) -> str:
    """What else must be so, in words."""
    rows = (
        (others, "shut and not asked for"),
        (outlets, "open"),
        (tuple(one.name for one in feeders), "there for its lead"),
    )
    return "".join(
        f", {together(names)} {'are' if len(names) > 1 else 'is'} {so}" for names, so in rows if names
    )
