"""Advice on main valves and pumps.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece
from steadfall.plan.meaning.feeders import drawing
from steadfall.plan.model import MainValve, Plan
from steadfall.plan.model.setting import low_end
from steadfall.source import Problem
from steadfall.units import shown


def lead_too_short(plan: Plan) -> Advice:
    """A circuit that begins while its main valve still travels gets a first dose short of water."""
    for item in plan.feeders:
        takes = item.travel if isinstance(item, MainValve) else item.run_up
        if low_end(item.lead_ms) < 1000 * takes:
            does = "open" if isinstance(item, MainValve) else "at full pressure"
            read = f"a circuit begins {shown(low_end(item.lead_ms) / 1000, 'time')} after '{item.name}' was"
            read += f" commanded, and it is {does} only after {shown(takes, 'time')}"
            example = f"lead: {shown(takes, 'time')}"
            yield Problem(
                item.at.of("lead"), "lead-too-short", "lead", read, "at least that", example=example
            )


def feeds_nothing(plan: Plan) -> Advice:
    """A main valve or pump whose supply no circuit draws on is never opened."""
    for item in plan.feeders:
        if item.when is None and not drawing(plan, item.supply):
            read = f"no stage and no step of the finish draws on '{item.supply}'"
            yield Problem(item.at.own, "unused", item.name, read, "a supply that a circuit draws on")


PIECES: tuple[Piece, ...] = (feeds_nothing,)
OF_PLANT: tuple[Piece, ...] = (lead_too_short,)
