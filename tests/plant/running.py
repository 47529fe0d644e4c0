"""Run a plant with given commands."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import lean_kernel
from steadfall.plan.model import Plan
from steadfall.plant import fields as f
from steadfall.plant.grid.balance import Books, books
from steadfall.plant.grid.whole import Grid, State, lay_out
from steadfall.plant.kernel.observe import observe
from steadfall.plant.kernel.step import step
from steadfall.plant.state import Constants


@lean_kernel
def steps(constants: Constants, state: State, commands: NDArray[np.uint8], dt: float, n: int) -> None:
    for _ in range(n):
        step(constants, state, commands, dt)


class Run:
    """A plant in motion: `go` holds some valves open for a while. With `even` all cells have one length, so
    that a cell's number says where it lies.
    """

    def __init__(self, plan: Plan, cells: int = 20, dt: float = 0.02, *, even: bool = False) -> None:
        self.grid: Grid = lay_out(plan, cells, dt, even=even)
        self.state: State = self.grid.fresh()
        self.dt = dt

    def go(self, seconds: float, *valves: str) -> Run:
        commands = np.array(
            [name in valves or name.split(".")[-1] in valves for name in self.grid.valves], dtype=np.uint8
        )
        steps(self.grid.constants, self.state, commands, self.dt, round(seconds / self.dt))
        return self

    def until(
        self, name: str, below: float, phases: list[tuple[Any, ...]], longest: float = 4 * 3600
    ) -> float:
        """Repeat the phases until an observed quantity lies below a value; returns the time in s."""
        while self.see(name) > below and self.state.clock[0] < longest and self.state.stop[0] == f.GOING:
            for seconds, *valves in phases:
                self.go(seconds, *valves)
        return float(self.state.clock[0])

    def see(self, name: str) -> float:
        out = np.zeros(len(self.grid.observed))
        observe(self.grid.constants, self.state, out)
        return float(out[self.grid.observed.index(name)])

    def own(self, field: int, circuit: int = 0) -> float:
        return float(self.state.circuit[circuit, field])

    def books(self) -> Books:
        return books(self.grid, self.state)

    def closes(self, within: float = 1e-8) -> bool:
        return all(error < within for error in self.books().errors.values())
