"""Everything that the controller saw in a prediction, scan by scan, up to a moment.

An ordinary run keeps samples of what is measured; to say why a valve was open, the logic must be replayed
from what it really saw. So the prediction is run once more, to the moment, with the inputs kept at every
scan.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from steadfall.logic.build.panel.settings import on_panel
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type
from steadfall.plan.model import Plan
from steadfall.plant.grid.whole import lay_out
from steadfall.predict.inputs.scenario import course
from steadfall.predict.loop import ENDED, NOW, RUNNING
from steadfall.predict.outcome.result import Settings
from steadfall.predict.record import INPUTS, Kept
from steadfall.predict.run import PlantRun, fine
from steadfall.progress import SILENT, Progress
from steadfall.runs.run import Run, column
from steadfall.scan.program import compile_network


class _Kept(PlantRun):
    """A prediction that keeps every input at every scan."""

    def kept(self) -> Kept:
        registers = [self.program.register(name) for name in self.plan.inputs]
        places = np.array([place for _, place in registers], dtype=np.int64)
        real = np.array([kind == "reals" for kind, _ in registers], dtype=np.int64)
        return Kept(places, real, self.scans())

    def recorded(self, until_ms: int, progress: Progress) -> Run:
        """Run until the moment is past, or to the end; what the inputs were, scan by scan."""
        times: list[NDArray[np.int64]] = []
        rows: list[NDArray[np.float64]] = []
        while self.clock[ENDED] == RUNNING and self.clock[NOW] <= until_ms:
            self.advance()
            used = self.record.used[INPUTS]
            times.append(self.record.input_ms[:used].copy())
            rows.append(self.record.input_rows[:used].copy())
            self.record.used[:] = 0
            progress.step(min(1.0, self.clock[NOW] / max(1, until_ms)), 1.0, self.words())
        moments, values = np.concatenate(times), np.concatenate(rows)
        inputs = {
            name: column(row.astype(np.bool_) if self.program.types[name] is Type.BOOL else row).changes()
            for name, row in zip(self.plan.inputs, values.T, strict=True)
        }
        panel = on_panel(self.plan, self.course.panel)
        inputs |= {name: column(np.full(len(moments), value)).changes() for name, value in panel.items()}
        return Run(np.diff(moments, prepend=moments[:1]), inputs, begin_ms=int(moments[0]))


def recorded_inputs(
    plan: Plan,
    scenario: str | None,
    until_ms: int,
    settings: Settings | None = None,
    progress: Progress = SILENT,
) -> Run:
    """What the controller sees in a prediction of the plan up to a moment; the last chunk may run past it."""
    settings, started, network = settings or fine(plan), course(plan, scenario), build(plan)
    grid = lay_out(plan, settings.cells, settings.step)
    predicted = _Kept(plan, started, settings, network, compile_network(network), grid)
    return predicted.recorded(until_ms, progress)
