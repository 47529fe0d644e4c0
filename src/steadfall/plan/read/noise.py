"""How far a sensor's values scatter.

Rule of this file: as in `plan.read.equipment`.
"""

from __future__ import annotations

from steadfall.plan.keys.held import Measured
from steadfall.plan.model import DIGITAL
from steadfall.plan.read.known import Here
from steadfall.plan.read.sequence import distance


def noise(kind: str, noise_given: Measured | None, *, here: Here) -> float:
    """The standard deviation of what a sensor shows, 0 where nothing is said."""
    if noise_given is None or not kind:
        return 0.0
    if kind in DIGITAL:
        here.add("noise", "unused-key", f"a {kind} is on or off", "a measured input", at="noise")
        return 0.0
    return distance(noise_given, kind, "noise", here)
