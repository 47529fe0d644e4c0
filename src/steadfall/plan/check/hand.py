"""Judges hand mode: valves that exist, each by an input that opens it and that no broken wire sets.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.plan.meaning.aloud import together
from steadfall.plan.meaning.names import valves
from steadfall.plan.meaning.person.hand import excluded_by, outlets_of, rests_open
from steadfall.plan.model import DIGITAL, Hand, Plan
from steadfall.plan.problems import Problems


def hand_moves_valves(plan: Plan, problems: Problems) -> None:
    """Each key names a valve, each value a switch or a button of its own."""
    hand = plan.hand
    if hand is None:
        return
    if not hand.valves:
        example = "upper.mist: mist_by_hand"
        problems.add(hand.at.own, "empty-value", "hand", "no valve is named", "valves", example=example)
    known, seen = valves(plan), dict[str, str]()
    for valve, given in hand.valves.items():
        place, item = hand.at.of(valve), plan.inputs.get(given)
        if valve not in known:
            problems.unknown(hand.at.of(f"key {valve}"), "hand", valve, "valve", known)
            continue
        if item is None and given:
            digital = [name for name, one in plan.inputs.items() if one.kind in DIGITAL]
            problems.unknown(place, valve, given, "switch or button", digital)
        elif item is not None and item.kind and not item.is_digital:
            read = f"'{given}' is a {item.kind.replace('_', ' ')}, not on or off"
            problems.add(place, "not-a-switch", valve, read, "a switch or a button")
        elif item is not None and item.kind == "button" and item.normal:
            read = f"'{given}' is normally on: a broken wire would open '{valve}'"
            problems.add(place, "start-normally-closed", valve, read, "a button normally off")
        elif given and given in seen:
            read = f"'{given}' moves '{seen[given]}' already"
            problems.add(place, "same-name", valve, read, "an input for each valve")
        seen.setdefault(given, valve)
        _can_open(plan, hand, valve, problems)


def _can_open(plan: Plan, hand: Hand, valve: str, problems: Problems) -> None:
    """What it excludes, or needs, does not stand against it for ever."""
    against = [one for one in excluded_by(plan, valve) if rests_open(plan, one)]
    against += [one for one in outlets_of(plan, valve) if not rests_open(plan, one)]
    missing = [one for one in against if one not in hand.valves]
    if missing:
        read = f"'{valve}' could never be opened by hand: {together(missing)} cannot be moved so"
        problems.add(
            hand.at.of(f"key {valve}"), "never-by-hand", valve, read, f"{together(missing)} by hand too"
        )


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (hand_moves_valves,)
