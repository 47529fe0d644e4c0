"""The bench in real time: a soft controller in a process of its own, the plant in the loop here.

And how evenly a soft controller scans.

`python -m benchmarks.bench_session` prints these rows alone.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
import psutil
from tests.bench.made import GOOD, plan_of, wires_of

from benchmarks.table import Row, show
from steadfall.app.bench import How, People, bench
from steadfall.app.given.consent import CONFIRM
from steadfall.bench.link.modbus.server import ModbusFace
from steadfall.bench.link.opcua.server import OpcUaFace
from steadfall.bench.soft.cabinet import Cabinet
from steadfall.bench.soft.controller import Soft
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file

LASTS_S, SCAN_MS, HOST = 30.0, 10, "127.0.0.1"
EDGES = (0, 9, 10, 11, 12, 15, 20, 50, 1000)  # ms
PLAN = "many_circuits"
ONE = "  edge_3: {type: edge_circuit, host: lower_platen, delay_doses: 3 s}\n"
MORE = "  edge_{number}: {{type: edge_circuit, host: lower_platen, delay_doses: 3 s}}\n"
LAST_EDGE = 6  # so many that it has 50 signals
PEOPLE = People(CONFIRM, knows=lambda _: True)


def rows() -> Iterable[Row]:
    """A cycle of 50 ms over both protocols, and its share of a core."""
    text = (GOOD / f"{PLAN}.yaml").read_text(encoding="utf-8")
    more = "".join(MORE.format(number=number) for number in range(4, LAST_EDGE + 1))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "plan.yaml"
        file.write_text(text.replace(ONE, ONE + more), encoding="utf-8")
        plan = read_file(file)
        many = len(wires_of(plan))
        there = subprocess.Popen(
            [sys.executable, "-m", "steadfall", "serve", str(file), "--opcua", "0",
             "--modbus", "0", "--links", folder],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )  # fmt: skip
        try:
            assert there.stdout is not None
            there.stdout.readline()
            for protocol in ("opcua", "modbus"):
                yield from _session(plan, Path(folder) / f"{protocol}.yaml", many, protocol)
        finally:
            there.terminate()
            there.wait()


def _session(plan: Plan, link: Path, many: int, protocol: str) -> Iterable[Row]:
    own, begun = psutil.Process(), time.perf_counter()
    before = own.cpu_times()
    made = bench(plan, str(link), How(lasting_s=LASTS_S, drive=True), PEOPLE)
    spent = own.cpu_times()
    share = (spent.user - before.user) / (time.perf_counter() - begun)
    found = made.judged.pace
    what = f"bench, {many} signals by {protocol}, plant in the loop"
    yield Row(f"{what}: cycle of 50 ms, median", found.cycle_ms[0], "ms", 52.0)
    yield Row("its longest but one in a thousand", found.cycle_ms[1], "ms")
    yield Row("cycles that came late, of a thousand", 1000 * found.late / found.cycles, "")
    yield Row("CPU, judging included", 100 * share, "%")


class Noted(Soft):
    """A soft controller that notes how long ago the scan before was."""

    def __init__(self, network: Network, shows: Sequence[str]) -> None:
        self.dts: list[int] = []
        super().__init__(network, shows)

    def scan(self, dt_ms: int, inputs: Mapping[str, Value]) -> dict[str, Value]:
        """One scan, noted."""
        self.dts.append(dt_ms)
        return super().scan(dt_ms, inputs)


def even_rows() -> Iterable[Row]:
    """How evenly a soft controller scans every 10 ms while it serves."""
    plan = plan_of("small")
    wires = wires_of(plan)
    soft = Noted(build(plan), [wire.signal for wire in wires if not wire.is_input])
    faces = OpcUaFace(wires, HOST, 0), ModbusFace(wires, HOST, 0)
    cabinet = Cabinet(soft, faces, SCAN_MS, {})
    cabinet.start()
    time.sleep(LASTS_S)
    cabinet.stop()
    dts = np.array(soft.dts[2:])
    yield Row(f"soft controller, scan of {SCAN_MS} ms: median", float(np.median(dts)), "ms", 11.0)
    for low, high in pairwise(EDGES):
        share = 100 * float(np.mean((dts >= low) & (dts < high)))
        yield Row(f"its scans from {low} to less than {high} ms", share, "%")


def main() -> None:
    """All rows of this file."""
    for measure in (rows, even_rows):
        for row in measure():
            show(row)


if __name__ == "__main__":
    main()
