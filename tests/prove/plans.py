"""Small plans with requirements, quick to prove. Every number is invented."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import attrs

from steadfall.plan.model import Dose, Plan, Stage
from steadfall.plan.read.whole import read_file
from tests.logic import plans as small

DEMO = Path(__file__).parent.parent.parent / "examples" / "press.yaml"


@cache
def demo() -> Plan:
    """The press of the examples."""
    return read_file(DEMO)


def guarded(*requirements: Any, clock: str = "restart", **times: Any) -> Plan:
    """One circuit with a dosed valve, a permissive and a trip."""
    first = Stage("dosing", {"sweep": small.OPEN, "mist": Dose(80, 120, clock)}, small.after(600))
    stages = (first, *small.STAGES[1:])
    mist = small.valve("mist", **times)
    kind = small.circuit_type(stages, small.FINISH, (mist, small.SWEEP, small.DRAIN), cold_start="finish")
    made = small.plan(kind, permissives=(small.AIR_OK,), trips=(small.FAULT,))
    return attrs.evolve(made, requirements=requirements)
