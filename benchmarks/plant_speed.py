"""How fast the plant's kernel is, against the same step in plain C: `python -m benchmarks.plant_speed`.

The C file is compiled with gcc -O3 (no fast-math) into a temporary folder, once as it stands and once for
this machine's instructions (which numba uses too); all run the same hours and must end alike. CPU seconds per
circuit and simulated hour, best of three.
"""

from __future__ import annotations

import ctypes
import math
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from tests.plant import plants
from tests.plant.running import steps

from benchmarks.table import Row, show
from steadfall.plan.model import Plan
from steadfall.plant import fields
from steadfall.plant.grid.whole import Grid, State, lay_out
from steadfall.plant.kernel import (
    circuit,
    exchange,
    heat,
    losses,
    march,
    mouth,
    network,
    pressure,
    settle,
    supply,
)
from steadfall.plant.law import boiling, discharge, properties, valve
from steadfall.plant.state import Constants

ROOT = Path(__file__).parents[1]
HOUR = 3600.0
STEP = 0.020
REPEATS = 3
AGREE = 1e-6  # K
MOST = 1.2  # times the CPU time of C
SIZES = ("nodes", "streams", "circuits", "valves", "cells", "headers", "losses", "heaters")
MODULES = (
    boiling,
    circuit,
    discharge,
    exchange,
    heat,
    losses,
    march,
    mouth,
    network,
    pressure,
    properties,
    settle,
    supply,
    valve,
)
RENAMED = {
    (losses, "G"): "GRAVITY",
}


class Case(NamedTuple):
    """One hour of one kind of work: phases of (seconds, open valves), repeated."""

    name: str
    plan: Plan
    phases: tuple[tuple[float, tuple[str, ...]], ...]


CASES = (
    Case("doses on hot metal", plants.platen(mass=80_000.0), ((1.0, ("small", "air")), (3.0, ("air",)))),
    Case("doses to the goal", plants.platen(), ((1.0, ("small", "air")), (3.0, ("air",)))),
    Case("full stream", plants.platen(), ((10.0, ("main",)),)),
    Case("air only", plants.platen(), ((10.0, ("air",)),)),
    Case("valves shut", plants.platen(), ((10.0, ()),)),
    Case("coil in gas, doses", plants.oven(), ((1.0, ("small", "air")), (9.0, ("air",)))),
)

# Every further key of the plant at once, for agreement only: two coils and a platen on shared supplies.
EVERYTHING = Case(
    "everything", plants.everything(), ((1.0, ("small", "air")), (3.0, ("air",)), (6.0, ("main", "small")))
)


def declarations() -> str:
    """Field numbers, physical constants and structs of pointers, from the package."""
    lines = ["#pragma once", "#include <stdint.h>"]
    lines += [f"#define f_{name} {value}" for name, value in vars(fields).items() if _number(name, value)]
    lines += [f"#define {name} {getattr(fields, name)}" for name in vars(fields) if name.endswith("_FIELDS")]
    lines += [f"#define {name} {getattr(fields, name)}" for name in ("SHELLS", "MOUTH_SHELLS")]
    seen: dict[str, float] = {}
    for module in MODULES:
        for name, value in vars(module).items():
            called = RENAMED.get((module, name), name)
            if called and _number(called, value) and seen.setdefault(called, value) != value:
                raise ValueError(f"{called} means two things")
    lines += [f"#define {name} {value!r}" for name, value in seen.items()]
    for tab in ("boiling", "liquid"):
        lines.append(f"#define {tab.upper()}_COLUMNS {properties.read_table(tab).shape[1]}")
    grid = lay_out(plants.oven())
    lines += [_struct("Constants", grid.constants, "const "), _struct("State", grid.fresh(), "")]
    lines.append("struct Sizes { int " + ", ".join(SIZES) + "; };")
    return "\n".join(lines) + "\n"


def _number(name: str, value: object) -> bool:
    return (
        name.isupper()
        and isinstance(value, int | float)
        and math.isfinite(value)
        and not name.endswith("_FIELDS")
    )


def _struct(name: str, values: Constants | State, constant: str) -> str:
    kinds = {"float64": "double", "int64": "int64_t", "uint8": "uint8_t"}
    members = (
        f"    {constant}{kinds[str(np.asarray(value).dtype)]} *{field};"
        for field, value in zip(values._fields, values, strict=True)
    )
    return f"struct {name} {{\n" + "\n".join(members) + "\n};"


def build(folder: Path, name: str, *more: str) -> ctypes.CDLL:
    """Compile the C version."""
    (folder / "plant_fields.h").write_text(declarations(), encoding="utf-8")
    library = folder / f"{name}.so"
    source = str(ROOT / "benchmarks" / "plant_step.c")
    flags = ["-O3", *more, "-ffp-contract=off", "-std=gnu11", "-shared", "-fPIC", f"-I{folder}"]
    subprocess.run(["gcc", *flags, source, "-lm", "-o", str(library)], check=True)
    return ctypes.CDLL(str(library))


class InC:
    """A grid and a state as the C library wants them."""

    def __init__(self, library: ctypes.CDLL, grid: Grid, state: State) -> None:
        self.library = library
        self.kept = [np.ascontiguousarray(value) for value in grid.constants] + list(state)
        addresses = [part.ctypes.data for part in self.kept]
        n = len(grid.constants)
        self.constants = (ctypes.c_void_p * n)(*addresses[:n])
        self.state = (ctypes.c_void_p * (len(addresses) - n))(*addresses[n:])
        constants = grid.constants
        more = (constants.header.shape[0], constants.loss_node.size, constants.heater_node.size)
        shape = (
            constants.capacity.size,
            len(grid.gas_streams),
            len(grid.circuits),
            len(grid.valves),
            grid.cells,
            *more,
        )
        self.sizes = (ctypes.c_int * len(SIZES))(*shape)

    def go(self, commands: NDArray[np.uint8], n: int) -> None:
        self.library.plant_steps(
            self.constants, self.state, self.sizes, ctypes.c_void_p(commands.ctypes.data),
            ctypes.c_double(STEP),
            ctypes.c_int64(n),
        )  # fmt: skip


def hour(case: Case, grid: Grid, state: State, go: Callable[[NDArray[np.uint8], int], Any]) -> float:
    """CPU seconds of one hour."""
    phases = [
        (
            np.array([name.split(".")[1] in valves for name in grid.valves], dtype=np.uint8),
            round(seconds / STEP),
        )
        for seconds, valves in case.phases
    ]
    start = time.process_time()
    while state.clock[0] < HOUR - STEP / 2 and state.stop[0] == fields.GOING:
        for commands, n in phases:
            go(commands, n)
    return time.process_time() - start


def _drive(grid: Grid, mine: State, commands: NDArray[np.uint8], count: int) -> None:
    steps(grid.constants, mine, commands, STEP, count)


def measure(case: Case, libraries: list[ctypes.CDLL]) -> tuple[list[float], float]:
    """Best CPU seconds per hour of the kernel and of each C build, and the worst difference in K."""
    best, apart = [float("inf")] * (1 + len(libraries)), 0.0
    for _ in range(REPEATS):
        grid = lay_out(case.plan)
        mine = grid.fresh()
        drive = partial(_drive, grid, mine)
        best[0] = min(best[0], hour(case, grid, mine, drive))
        for k, library in enumerate(libraries, start=1):
            other = grid.fresh()
            best[k] = min(best[k], hour(case, grid, other, InC(library, grid, other).go))
            apart = max(apart, float(np.abs(mine.nodes - other.nodes).max()), _walls_apart(mine, other))
    return best, apart


def _walls_apart(mine: State, other: State) -> float:
    shells = slice(fields.W0, fields.W0 + fields.SHELLS)
    return float(np.abs(mine.cells[:, :, shells] - other.cells[:, :, shells]).max())


def rows() -> Iterable[Row]:
    """The kernel's hours, its ratio to C for each kind of work and for all together, and how far the two end
    apart.
    """
    warm = lay_out(CASES[0].plan)
    steps(warm.constants, warm.fresh(), np.zeros(len(warm.valves), dtype=np.uint8), STEP, 1)
    total, worst = np.zeros(3), 0.0
    with tempfile.TemporaryDirectory() as folder:
        libraries = [build(Path(folder), "plain"), build(Path(folder), "native", "-march=native")]
        for case in CASES:
            best, apart = measure(case, libraries)
            total += best
            worst = max(worst, apart)
            yield Row(f"{case.name}: CPU per circuit and hour", best[0], "s", 2.0)
            yield Row(f"{case.name}: over C -O3", best[0] / best[1], "x")
            yield Row(f"{case.name}: over C -O3 -march=native", best[0] / best[2], "x")
    yield Row("all hours together: over C -O3", float(total[0] / total[1]), "x", MOST)
    yield Row("all hours together: over C -O3 -march=native", float(total[0] / total[2]), "x")
    yield Row("kernel and C apart at the end", worst, "K", AGREE)


def main() -> int:
    """Print every row; exit code 1 when a floor is missed."""
    found = list(rows())
    for row in found:
        show(row)
    return int(any(row.holds is False for row in found))


if __name__ == "__main__":
    raise SystemExit(main())
