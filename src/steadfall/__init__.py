"""Steadfall: from one text file, the cooling plan, to a predicted cool-down.

import steadfall

plan = steadfall.read("plan.yaml")       # raises steadfall.PlanError with every problem
result = plan.predict()                  # or plan.predict(scenario="air lost")
result.good                              # every limit kept, every goal reached, the books closed
result.arrays("splice")                  # times in s and values in SI, as numpy arrays
result.frame()                           # the whole trace as a pandas data frame
steadfall.survey(result).bands           # odds and bands of many runs within the tolerances
plan.size().good                         # no supply, valve, line, outlet, relief or drain is short
plan.prove("upper").good                 # what must hold of a circuit, under every input, for ever
plan.why("upper.mist", at="3 min").sentences()
plan.compare(steadfall.read("other.yaml")).good
plan.emit().write("code")                # structured text and its lists
result.as_json()                         # of any result, what the command line prints with --json
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from steadfall.app.plan import CoolingPlan, read, survey
    from steadfall.progress import Cancelled, Progress
    from steadfall.source import AskError, OutsideError, PlanError

__version__ = "0.1.0"
__all__ = [
    "AskError",
    "Cancelled",
    "CoolingPlan",
    "OutsideError",
    "PlanError",
    "Progress",
    "__version__",
    "read",
    "survey",
]

# Loaded when first asked for, so that a command that only reads a plan does not wait for numba.
_WHERE = {
    "read": "steadfall.app.plan",
    "survey": "steadfall.app.plan",
    "CoolingPlan": "steadfall.app.plan",
    "Progress": "steadfall.progress",
    "Cancelled": "steadfall.progress",
    "AskError": "steadfall.source",
    "PlanError": "steadfall.source",
    "OutsideError": "steadfall.source",
}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module 'steadfall' has no attribute '{name}'")
    return getattr(importlib.import_module(_WHERE[name]), name)
