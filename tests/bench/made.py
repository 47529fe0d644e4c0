"""A small controller for the bench, and plans for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from steadfall.bench.link.modbus.server import ModbusFace
from steadfall.bench.link.opcua.server import OpcUaFace
from steadfall.bench.link.wires import Wire, numbered, placed, signals
from steadfall.bench.soft.cabinet import Cabinet
from steadfall.bench.soft.controller import Soft
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from tests.examples import ROOT

GOOD = ROOT / "tests/plans/good"


def plan_of(name: str) -> Plan:
    """A plan of tests/plans/good."""
    return read_file(GOOD / f"{name}.yaml")


def wires_of(plan: Plan, network: Network | None = None) -> list[Wire]:
    """All its signals, each with a node and a register."""
    return numbered(placed(signals(plan, network or build(plan)), plan))


@contextmanager
def served(plan: Plan, wires: Sequence[Wire], scan_ms: int = 20) -> Iterator[tuple[str, str]]:
    """Its logic as a soft controller on ports that the system chose; the addresses."""
    soft = Soft(build(plan), [wire.signal for wire in wires if not wire.is_input])
    begin = {name: item.normal >= 0.5 for name, item in plan.inputs.items() if item.is_digital}
    faces = OpcUaFace(wires, "127.0.0.1", 0), ModbusFace(wires, "127.0.0.1", 0)
    cabinet = Cabinet(soft, faces, scan_ms, begin)
    opcua, modbus = cabinet.start()
    try:
        yield opcua, modbus
    finally:
        cabinet.stop()
