"""The plant of a case: where it says so, the controller is handed other values than the plant has."""

from __future__ import annotations

from steadfall.bench.cases.noisy import Noisy
from steadfall.bench.cases.script import Case
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan


class Told(Noisy):
    """A stepper whose inputs are forced, from the moments of a case on."""

    def __init__(self, plan: Plan, case: Case, seed: int = 1) -> None:
        super().__init__(plan, case.course, seed)
        self._to_come, self._forced = list(reversed(case.forced)), dict[str, Value]()
        self._to_set = list(reversed(case.panel))

    def sense(self) -> dict[str, Value]:
        """What the controller is shown now: the plant, over it what is forced, and once what is set."""
        while self._to_come and self._to_come[-1][0] <= self.now_ms:
            self._forced |= self._to_come.pop()[1]
        set_now: dict[str, Value] = {}
        while self._to_set and self._to_set[-1][0] <= self.now_ms:
            set_now |= self._to_set.pop()[1]
        return {**super().sense(), **self._forced, **set_now}
