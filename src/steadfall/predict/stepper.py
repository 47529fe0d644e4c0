"""The plant, stepped from outside: whoever holds it plays the controller, scan by scan.

Rule of this file: it calls what the loop of a prediction calls, in the same order. So a controller that does
what the plan's logic does, at the same times, gives the same plant to the last bit.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.logic.nodes import Type, Value
from steadfall.plan.model import Plan
from steadfall.plan.model.upset import Sort, Upset
from steadfall.predict.inputs.scenario import Course, course
from steadfall.predict.loop import ENDED, NOW, STOPPED, Bounds, move, sense
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.record import CHANGES, ROWS
from steadfall.predict.run import LARGEST_STEP_MS, PlantRun, fine, start
from steadfall.source import AskError

_OF_TYPE = {Type.BOOL: bool, Type.REAL: float}  # else a whole number
NO_POWER = "whether a controller outside has power is not for the plant to say"


class Stepper:
    """A plant at its start, with the people and systems of a scenario beside it.

    In turn: `sense()` says what the controller is shown, `step(outputs, ms)` lets the plant run with what it
    answers. `scenario`: by its name, or what happens in it. Raises PlanError when there is none of that name.
    """

    def __init__(
        self, plan: Plan, scenario: str | Course | None = None, settings: Settings | None = None
    ) -> None:
        self.plan = plan
        happens = scenario if isinstance(scenario, Course) else course(plan, scenario)
        self.run: PlantRun = start(plan, happens, settings or fine(plan))
        self.inputs = tuple(plan.inputs)
        self._places = [(name, *self.run.program.register(name)) for name in self.inputs]
        self._at = {name: place for place, name in enumerate(self.inputs)}

    @property
    def now_ms(self) -> int:
        """The plant's own time."""
        return int(self.run.clock[NOW])

    @property
    def values(self) -> dict[str, float]:
        """Every quantity of the plant as it is now, SI."""
        return dict(zip(self.run.grid.observed, self.run.registers.observed.tolist(), strict=True))

    @property
    def over(self) -> bool:
        """Whether the scenario has come to its end, or the plant left what can be computed."""
        return self.run.over()

    @property
    def stopped(self) -> bool:
        """Whether the plant left what can be computed."""
        return bool(self.run.clock[ENDED] == STOPPED)

    def sense(self) -> dict[str, Value]:
        """What the controller is shown now, in its own units; once before each step."""
        if self.run.due and self.run.due[0].wrong.sort is Sort.POWER:
            raise AskError(NO_POWER)
        self.run.let_happen()
        run = self.run
        sense(run.registers, run.wiring, run.record, run.clock)
        return {
            name: _OF_TYPE.get(run.program.types[name], int)(getattr(run.registers, kind)[place])
            for name, kind, place in self._places
        }

    def give(self, name: str, value: float) -> None:
        """A person or another system sets an input, in SI, percent, or 0 and 1."""
        if self.plan.inputs[name].measures is not None:
            raise AskError(f"'{name}' measures the plant; nobody sets it")
        self.run.wiring.given[self._at[name]] = value

    def let(self, upset: Upset) -> None:
        """Something goes wrong in the plant, now or at its moment."""
        self.run.due = sorted((*self.run.due, upset), key=lambda one: one.time_ms)

    def step(self, outputs: Mapping[str, Value], ms: int) -> None:
        """The controller's outputs, and so many ms of plant; what is not named stays as it was.

        Beside the commands of valves, mains and pumps it may say its stages: then a prediction of this run
        knows when each began.
        """
        run = self.run
        for name, value in outputs.items():
            kind, place = run.program.register(name)
            getattr(run.registers, kind)[place] = value
        move(
            run.registers, run.grid.constants, run.state, run.wiring, run.watch, run.record,
            self._bounds(ms), run.clock, ms,
        )  # fmt: skip
        if run.record.used[ROWS] + 1 >= len(run.record.row_ms) or self._nearly_full():
            run.tape.take(run.record)

    def _bounds(self, ms: int) -> Bounds:
        """As in a prediction; a step longer than a scan may take is cut into more."""
        bounds = self.run.bounds
        if ms <= max(self.run.settings.scan_ms, self.plan.scan.longest_ms):
            return bounds
        return bounds._replace(steps_per_scan=-(-ms // LARGEST_STEP_MS))

    def _nearly_full(self) -> bool:
        record = self.run.record
        return bool(record.used[CHANGES] + len(record.watched) >= len(record.change_ms))

    def predicted(self) -> Prediction:
        """What a prediction would say of the run so far."""
        self.run.tape.take(self.run.record)
        return self.run.gathered()
