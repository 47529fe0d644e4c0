"""The plant of a case: where it says so, the controller is handed other values than the plant has."""

from __future__ import annotations

from steadfall.bench.script import Case
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.predict.stepper import Stepper


class Told(Stepper):
    """A stepper whose inputs are forced, from the moments of a case on."""

    def __init__(self, plan: Plan, case: Case) -> None:
        super().__init__(plan, case.course)
        self._forced = case.forced

    def sense(self) -> dict[str, Value]:
        """What the controller is shown now: the plant, and over it what is forced."""
        shown = super().sense()
        for at_ms, values in self._forced:
            if at_ms <= self.now_ms:
                shown |= {name: value for name, value in values.items() if name in shown}
        return shown
