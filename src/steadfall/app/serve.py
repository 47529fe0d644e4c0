"""A soft controller that others can talk to: the plan's logic, or a controller's text, over two protocols."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from attrs import field, frozen

from steadfall.app.given.controller import Controller
from steadfall.app.given.document import document
from steadfall.app.given.files import write
from steadfall.app.given.kept import read_kept, write_kept
from steadfall.bench.link.wires import Wire, numbered, placed, signals
from steadfall.bench.soft.cabinet import Cabinet, Face, Served
from steadfall.bench.soft.controller import Soft, panel_of
from steadfall.extras import opened
from steadfall.logic.build.stand_in import with_stages
from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.predict.stepper import Stepper

LOOPBACK = "127.0.0.1"
OPCUA_PORT, MODBUS_PORT = 4840, 1502  # the usual ones; 502 needs rights that nobody should have here
CAUTION = "A soft controller is for rehearsals, training and screens; it must not move anything real."
OPEN = "Everybody who reaches {host} may write to it: no user is asked and nothing is encrypted."


@frozen
class Where:
    """Which address and ports; port 0: one that the system chooses."""

    host: str = LOOPBACK
    opcua: int = OPCUA_PORT
    modbus: int = MODBUS_PORT


@frozen(eq=False)
class Serving:
    """A controller that serves, until `stop`."""

    plan: Plan
    opcua: str
    modbus: str
    wires: tuple[Wire, ...]
    cautions: tuple[str, ...]
    cabinet: Cabinet = field(repr=False)

    def wait(self, lasting: float | None = None) -> None:
        """So many seconds, or until it has failed."""
        self.cabinet.wait(lasting)

    def stop(self) -> Served:
        """End it. Raises OutsideError where it has failed meanwhile."""
        return self.cabinet.stop()

    def link_text(self, *, modbus: bool = False) -> str:
        """A link file for it."""
        lines = [f"address: {self.modbus if modbus else self.opcua}", "signals:"]
        for wire in self.wires:
            place = f"modbus: {wire.register}, type: {wire.form}" if modbus else f'opcua: "{wire.node}"'
            lines.append(f"  {wire.signal}: {{{place}}}")
        return "\n".join(lines) + "\n"

    def write_link(self, path: Path, *, modbus: bool = False) -> Path:
        """Write that file; raises OutsideError where that cannot be."""
        return write({path.name: self.link_text(modbus=modbus)}, path.parent)[0]

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        body = {
            "opcua": self.opcua,
            "modbus": self.modbus,
            "cautions": list(self.cautions),
            "signals": [_signal_json(wire) for wire in self.wires],
        }
        return document(self.plan, True, body)


def _signal_json(wire: Wire) -> dict[str, Any]:
    way = "in" if wire.is_input else "out"
    place = {"opcua": wire.node, "modbus": str(wire.register)}
    return {"name": wire.signal, "type": wire.type.value, "way": way, **place, "form": wire.form.value}


def serve(
    plan: Plan, code: Controller | None = None, where: Where | None = None, keep: Path | None = None
) -> Serving:
    """Begin to serve a plan's logic, or a controller's text in its place, at the plan's scan time.

    `keep`: the file in which it keeps what it retains, and with which it begins where it is there. Raises
    OutsideError where a port is taken, a library is missing or that file does not fit.
    """
    at = where or Where()
    network = with_stages(plan, code.network) if code else build(plan)
    wires = numbered(placed(signals(plan, network), plan))
    faces: list[Face] = [
        opened("steadfall.bench.link.opcua.server").OpcUaFace(wires, at.host, at.opcua),
        opened("steadfall.bench.link.modbus.server").ModbusFace(wires, at.host, at.modbus),
    ]
    begin = Stepper(plan).sense()
    soft = Soft(network, [wire.signal for wire in wires if not wire.is_input])
    given = {row.name for row in network.inputs}
    first = {name: value for name, value in begin.items() if name in given}
    kept = read_kept(keep, network) if keep else {}
    soft.bring(kept)
    first = {**panel_of(network, plan.settings), **first}
    first |= {name: value for name, value in kept.items() if name in given}
    cabinet = Cabinet(soft, faces, plan.scan.nominal_ms, first, partial(write_kept, keep) if keep else None)
    opcua, modbus = cabinet.start()
    cautions = (CAUTION,) if at.host == LOOPBACK else (CAUTION, OPEN.format(host=at.host))
    return Serving(plan, opcua, modbus, tuple(wires), cautions, cabinet)
