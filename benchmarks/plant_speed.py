"""How fast the plant's kernel is, against the same step in plain C: `python benchmarks/plant_speed.py`.

The C file is compiled with gcc -O3 (no fast-math) into a temporary folder; both run the same hours and must end alike.
CPU seconds per circuit and simulated hour, best of three, after warm-up.
"""

from __future__ import annotations

import ctypes
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from tests.plant import plants  # noqa: E402
from tests.plant.running import steps  # noqa: E402

from steadfall.plan.model import Plan  # noqa: E402 -- the tests' plants lie beside, not in the package
from steadfall.plant import (  # noqa: E402
    boiling,
    circuit,
    discharge,
    exchange,
    fields,
    heat,
    march,
    network,
    pressure,
    properties,
    settle,
    supply,
)
from steadfall.plant.grid import Grid, State, lay_out  # noqa: E402
from steadfall.plant.state import Constants  # noqa: E402

HOUR = 3600.0
STEP = 0.020
AGREE = 1e-6  # K
MOST = 1.2  # times the CPU time of C
SIZES = ("nodes", "streams", "circuits", "valves", "cells")
MODULES = (boiling, circuit, discharge, exchange, heat, march, network, pressure, properties, settle, supply)
RENAMED = {(supply, "SOFT"): "SUPPLY_SOFT", (discharge, "SOFT"): "OUT_SOFT", (pressure, "SOFT"): ""}


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


def header() -> str:
    """Field numbers, physical constants and structs of pointers, from the package."""
    lines = ["#pragma once", "#include <stdint.h>"]
    lines += [f"#define f_{name} {value}" for name, value in vars(fields).items() if _number(name, value)]
    lines += [f"#define {name} {getattr(fields, name)}" for name in vars(fields) if name.endswith("_FIELDS")]
    lines.append(f"#define SHELLS {fields.SHELLS}")
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
    return name.isupper() and isinstance(value, int | float) and not name.endswith("_FIELDS")


def _struct(name: str, values: Constants | State, constant: str) -> str:
    kinds = {"float64": "double", "int64": "int64_t", "uint8": "uint8_t"}
    members = (
        f"    {constant}{kinds[str(np.asarray(value).dtype)]} *{field};"
        for field, value in zip(values._fields, values, strict=True)
    )
    return f"struct {name} {{\n" + "\n".join(members) + "\n};"


def build(folder: Path) -> ctypes.CDLL:
    """Compile the C version."""
    (folder / "plant_fields.h").write_text(header(), encoding="utf-8")
    library = folder / "plant_step.so"
    source = str(ROOT / "benchmarks" / "plant_step.c")
    flags = ["-O3", "-march=native", "-ffp-contract=off", "-std=gnu11", "-shared", "-fPIC", f"-I{folder}"]
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
        shape = (grid.constants.capacity.size, len(grid.gas_streams), len(grid.circuits), len(grid.valves), grid.cells)
        self.sizes = (ctypes.c_int * len(SIZES))(*shape)

    def go(self, commands: NDArray[np.uint8], n: int) -> None:
        self.library.plant_steps(
            self.constants, self.state, self.sizes, ctypes.c_void_p(commands.ctypes.data), ctypes.c_double(STEP),
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


def measure(case: Case, library: ctypes.CDLL) -> tuple[float, float, float, float]:
    """Best CPU seconds per hour of the kernel and of C, marches per step, and the worst difference in K."""
    ours = theirs = float("inf")
    for _ in range(3):
        grid = lay_out(case.plan)
        mine, other = grid.fresh(), grid.fresh()
        ours = min(ours, hour(case, grid, mine, lambda c, n, g=grid, s=mine: steps(g.constants, s, c, STEP, n)))  # type: ignore[misc]
        theirs = min(theirs, hour(case, grid, other, InC(library, grid, other).go))
    shells = slice(fields.W0, None)
    apart = max(
        float(np.abs(mine.nodes - other.nodes).max()),
        float(np.abs(mine.cells[:, :, shells] - other.cells[:, :, shells]).max()),
    )
    marches = float(mine.circuit[0, fields.MARCHES] / mine.circuit[0, fields.STEPS])
    return ours, theirs, marches, apart


def main() -> int:
    """Print the table; 1 if the two part or all hours together take the kernel more than 1.2 times as long as C."""
    warm = lay_out(CASES[0].plan)
    steps(warm.constants, warm.fresh(), np.zeros(len(warm.valves), dtype=np.uint8), STEP, 1)
    print(f"{'one circuit, 20 cells, 20 ms':28} kernel s/h    C s/h  ratio  marches   apart K")
    ratios, total, worst = [], np.zeros(2), 0.0
    with tempfile.TemporaryDirectory() as folder:
        library = build(Path(folder))
        for case in CASES:
            ours, theirs, marches, apart = measure(case, library)
            ratios.append(ours / theirs)
            total += (ours, theirs)
            worst = max(worst, apart)
            print(f"{case.name:28} {ours:10.2f} {theirs:8.2f} {ours / theirs:6.2f} {marches:8.2f} {apart:9.1e}")
    mean = float(np.exp(np.mean(np.log(ratios))))
    together = float(total[0] / total[1])
    print(f"all hours together {together:.2f}; geometric mean {mean:.2f}; temperatures apart at most {worst:.1e} K")
    return int(worst > AGREE or together > MOST)


if __name__ == "__main__":
    raise SystemExit(main())
