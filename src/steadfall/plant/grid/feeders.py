"""Main valves and pumps as rows behind the valves of the circuits."""

from __future__ import annotations

from steadfall.plan.model import Feeder, MainValve, Plan
from steadfall.plant import fields as f


def feeder_kind(item: Feeder) -> int:
    """The kind of its row."""
    return f.MAIN if isinstance(item, MainValve) else f.PUMP


def feeder_row(plan: Plan, item: Feeder) -> tuple[float, ...]:
    """One row of `Constants.valves`; a pump's pressure is what it adds."""
    supply, number = plan.supplies[item.supply], float(list(plan.supplies).index(item.supply))
    if isinstance(item, MainValve):
        stands = float(item.normally_open)
        return (item.kv, item.travel, 0.0, supply.temperature, 0.0, number, stands, 0.0, 1.0, -1.0)
    adds = supply.pressure - item.pressure_without
    return (1.0, item.run_up, adds, supply.temperature, 0.0, number, 0.0, 0.0, 1.0, -1.0)
