"""Steadfall: from one text file, the cooling plan, to a predicted cool-down.

import steadfall

plan = steadfall.read("plan.yaml")       # raises steadfall.PlanError with every problem
result = plan.predict()                  # or plan.predict(scenario="air lost")
result.good                              # every limit kept, every goal reached, the books closed
result.arrays("splice")                  # times in s and values in SI, as numpy arrays
result.frame()                           # the whole trace as a pandas data frame
steadfall.survey(result).bands           # odds and bands of many runs within the tolerances
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from steadfall.api import CoolingPlan, read, survey
    from steadfall.source import OutsideError, PlanError

__version__ = "0.1.0"
__all__ = ["CoolingPlan", "OutsideError", "PlanError", "__version__", "read", "survey"]

# Loaded when first asked for, so that a command that only reads a plan does not wait for numba.
_WHERE = {
    "read": "steadfall.api",
    "survey": "steadfall.api",
    "CoolingPlan": "steadfall.api",
    "PlanError": "steadfall.source",
    "OutsideError": "steadfall.source",
}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module 'steadfall' has no attribute '{name}'")
    return getattr(importlib.import_module(_WHERE[name]), name)
