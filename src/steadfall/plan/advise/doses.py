"""Advice on doses: clipped, skipped, or longer than their stage.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece, stages
from steadfall.plan.model import Demand, Dose, Plan, Share
from steadfall.plan.model.setting import high_end
from steadfall.plan.text.lay_out import time
from steadfall.source import Problem


def free_clock_clips(plan: Plan) -> Advice:
    """A stage that begins in mid-phase of a shared clock gets a first dose of any length."""
    for _, stage in stages(plan):
        for name, action in stage.actions.items():
            if isinstance(action, Dose) and action.clock == "free":
                read = f"the first dose of '{name}' may last anything up to {time(action.open_ms)}"
                yield Problem(
                    action.at.of("clock"), "clipped-dose", stage.name, read, "'restart', if that matters"
                )


def share_shorter_than_valve(plan: Plan) -> Advice:
    """A share of a cycle that is shorter than the valve can open is skipped: the smallest call gives no
    water.
    """
    lowest = {call.of: min(call.thresholds.values()) for call in plan.calls if isinstance(call, Demand)}
    for kind, stage in stages(plan):
        for name, action in stage.actions.items():
            if isinstance(action, Share) and action.of in lowest:
                least, shortest = (
                    lowest[action.of] / 100 * action.cycle_ms,
                    high_end(kind.valves[name].shortest_open_ms),
                )
                if least < shortest:
                    share = f"{lowest[action.of]:g} % of the cycle is {time(round(least))}"
                    read = f"{share}, under the {time(shortest)} that '{name}' needs, and is skipped"
                    yield Problem(action.at.of("cycle"), "skipped-dose", stage.name, read, "a longer cycle")


PIECES: tuple[Piece, ...] = (free_clock_clips, share_shorter_than_valve)
