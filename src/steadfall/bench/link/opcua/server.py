"""A soft controller's face for OPC UA.

Rule of this file: it serves this machine unless told otherwise, without users or keys: for rehearsals, and
never for a controller that moves anything.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from typing import Any

from asyncua import Server, ua

from steadfall.bench.link.wires import Wire
from steadfall.logic.nodes import Type, Value
from steadfall.source import OutsideError

_VARIANTS = {
    Type.BOOL: ua.VariantType.Boolean, Type.INT: ua.VariantType.Int16, Type.TIME: ua.VariantType.UInt32,
    Type.REAL: ua.VariantType.Float,
}  # fmt: skip
NAMESPACE = "urn:steadfall:soft-controller"


_FIRST = {Type.BOOL: False, Type.REAL: 0.0}
_COUNTS = {"INT": ua.VariantType.Int16, "UINT": ua.VariantType.UInt16, "DINT": ua.VariantType.Int32}


def _variant(wire: Wire) -> ua.VariantType:
    """The type of a signal's node."""
    return _COUNTS[wire.whole] if wire.whole else _VARIANTS[wire.type]


class OpcUaFace:
    """The server of some wires."""

    def __init__(self, wires: Sequence[Wire], host: str, port: int) -> None:
        self._wires = {wire.signal: wire for wire in wires if wire.node}
        self._host, self._port = host, port
        self._nodes: dict[str, Any] = {}
        self._shown: dict[str, Value] = {}
        self._server: Any = None

    async def start(self) -> str:
        """Begin to serve; the address. Raises OutsideError where the port is taken."""
        logging.getLogger("asyncua").setLevel(logging.CRITICAL)
        self._server = Server()
        await self._server.init()
        self._server.set_server_name("Steadfall soft controller")
        self._server.set_endpoint(f"opc.tcp://{self._host}:{self._port}/")
        self._server.set_security_policy([ua.SecurityPolicyType.NoSecurity])
        await self._server.register_namespace(NAMESPACE)
        folder = await self._server.nodes.objects.add_object(ua.NodeId("steadfall", 2), "steadfall")
        for wire in self._wires.values():
            place = ua.NodeId.from_string(wire.node)
            begins = 0 if wire.whole else _FIRST.get(wire.type, 0)
            node = await folder.add_variable(place, wire.signal, begins, _variant(wire))
            if wire.is_input:
                await node.set_writable()
            self._nodes[wire.signal] = node.nodeid
        try:
            await self._server.start()
        except OSError as error:
            raise OutsideError(
                f"cannot serve OPC UA at {self._host}:{self._port}: {error.strerror}"
            ) from error
        host, port = self._server.bserver._server.sockets[0].getsockname()[:2]
        return f"opc.tcp://{host}:{port}/"

    async def collect(self) -> dict[str, Value]:
        """The inputs as clients have written them."""
        names = [name for name, wire in self._wires.items() if wire.is_input]
        asked = [
            ua.ReadValueId(NodeId=self._nodes[name], AttributeId=ua.AttributeIds.Value) for name in names
        ]
        found = await self._server.iserver.isession.read(ua.ReadParameters(NodesToRead=asked))
        given = {name: one.Value.Value for name, one in zip(names, found, strict=True)}
        return {name: float(one) if self._wires[name].whole else one for name, one in given.items()}

    async def publish(self, values: Mapping[str, Value]) -> None:
        """What the last scan made, where it is new; of inputs, what they begin with."""
        for name, place in self._nodes.items():
            if name in values and self._shown.get(name) != values[name]:
                self._shown[name] = values[name]
                wire = self._wires[name]
                shown = round(values[name]) if wire.whole else values[name]
                variant = ua.Variant(shown, _variant(wire))
                await self._server.write_attribute_value(place, ua.DataValue(variant))

    async def stop(self) -> None:
        """Serve no more."""
        if self._server is not None:
            await self._server.stop()
