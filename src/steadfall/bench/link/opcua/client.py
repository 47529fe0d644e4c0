"""A controller that serves OPC UA, as a link.

Rule of this file: every status is looked at, since a bad node reads as "nothing", which is "shut"; every
value is written in the type that the node has; and every exchange ends within its own limit.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import os
import threading
import time
from collections.abc import Coroutine, Mapping, Sequence
from concurrent.futures import TimeoutError as Late
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from asyncua import Client, ua
from asyncua.crypto.security_policies import SecurityPolicyBasic256Sha256
from asyncua.crypto.uacrypto import CertProperties, der_from_x509, load_certificate
from asyncua.ua.uaerrors import UaError

from steadfall.bench.link.exchange import LIMIT_S, Exchange, LostError, Part, Peer
from steadfall.bench.link.file import PASSWORD, LinkFile
from steadfall.bench.link.opcua.keys import URI
from steadfall.bench.link.wires import Wire
from steadfall.logic.nodes import Type, Value

T = TypeVar("T")
CONNECT_S = 5.0
WRITABLE = 2  # of an access level: OPC UA part 3, 8.57, bit 1
_FITS = {
    Type.BOOL: {ua.VariantType.Boolean},
    Type.REAL: {ua.VariantType.Float, ua.VariantType.Double},
    Type.INT: {ua.VariantType.Int16, ua.VariantType.Int32, ua.VariantType.UInt16, ua.VariantType.Byte,
               ua.VariantType.UInt32, ua.VariantType.Int64},
    Type.TIME: {ua.VariantType.Int32, ua.VariantType.UInt32, ua.VariantType.Int64},
}  # fmt: skip


class OpcUaLink:
    """The connection. Raises LostError where nobody answers, or where it lets nobody in."""

    def __init__(self, link: LinkFile, wires: Sequence[Wire], limit_s: float = LIMIT_S) -> None:
        logging.getLogger("asyncua").setLevel(logging.CRITICAL)
        self._link, self._limit = link, limit_s
        self._wires = {wire.signal: wire for wire in wires if wire.node}
        self._outputs = [name for name, wire in self._wires.items() if not wire.is_input]
        self._nodes: dict[str, Any] = {}
        self._types: dict[str, Any] = {}
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._turn, daemon=True)
        self._thread.start()
        self._client: Any = None
        try:
            self._nodes = {name: ua.NodeId.from_string(wire.node) for name, wire in self._wires.items()}
            self._do(self._connect(), CONNECT_S)
        except BaseException:
            self._end_loop()
            raise

    async def _connect(self) -> None:
        access = self._link.access
        client = Client(self._link.address, timeout=CONNECT_S)
        client.application_uri = URI
        if access.certificate and access.key:
            offered = await client.connect_and_get_server_endpoints()
            modes = {(one.SecurityPolicyUri, one.SecurityMode) for one in offered}
            wanted = SecurityPolicyBasic256Sha256.URI, ua.MessageSecurityMode.SignAndEncrypt
            if wanted not in modes:
                raise LostError(f"{self._link.address} does not offer to sign and encrypt (Basic256Sha256)")
            pinned = _held(access.server_certificate) if access.server_certificate else None
            if pinned and not await _is_among(pinned, offered):
                raise LostError(f"{self._link.address} shows another certificate than server_certificate")
            await client.set_security(
                SecurityPolicyBasic256Sha256,
                _held(access.certificate),
                _held(access.key),
                server_certificate=pinned,
            )
        if access.user:
            client.set_user(access.user)
            client.set_password(access.password or os.environ.get(PASSWORD, ""))
        try:
            await client.connect()
        except BaseException:
            client.disconnect_socket()
            await asyncio.sleep(0)  # its transport closes in the loop
            raise
        self._client = client

    def problems(self) -> list[str]:
        """Every node that is missing, of another type, or not writable where it must be."""
        names = list(self._nodes)
        values = self._do(self._attributes(names, ua.AttributeIds.Value))
        levels = self._do(self._attributes(names, ua.AttributeIds.UserAccessLevel))
        found = []
        for name, value, level in zip(names, values, levels, strict=True):
            wire = self._wires[name]
            at = f"'{name}' at {wire.node}"
            kind = value.Value.VariantType if value.Value is not None else None
            if not value.StatusCode.is_good():
                found.append(f"{at}: it cannot be read ({value.StatusCode.name})")
                continue
            wanted = Type.INT if wire.whole else wire.type
            if kind not in _FITS[wanted]:
                is_of = kind.name if kind is not None else "nothing"
                found.append(f"{at}: it is {is_of} there, and a {wanted.value} in the plan")
            self._types[name] = kind
            if wire.is_input and not (level.StatusCode.is_good() and level.Value.Value & WRITABLE):
                found.append(f"{at}: it is not writable")
        return found

    def peer(self) -> Peer:
        """Who is at the other end."""
        asked = [ua.NodeId(number) for number in _BUILD]
        values = self._do(self._client.uaclient.read_attributes(asked, ua.AttributeIds.Value))
        says = {
            word: str(one.Value.Value)
            for word, one in zip(_BUILD.values(), values, strict=True)
            if one.StatusCode.is_good() and one.Value is not None
        }
        return Peer(self._link.address, says)

    def read(self) -> Exchange:
        """The controller's outputs."""
        begun = time.monotonic_ns()
        found = self._do(self._attributes(self._outputs, ua.AttributeIds.Value))
        ended, values = time.monotonic_ns(), dict[str, Value]()
        for name, one in zip(self._outputs, found, strict=True):
            if not one.StatusCode.is_good() or one.Value is None or one.Value.Value is None:
                raise LostError(f"'{name}' at {self._wires[name].node} is bad ({one.StatusCode.name})")
            values[name] = one.Value.Value
        return Exchange((Part(begun, ended, values),))

    def shown(self) -> Mapping[str, Value]:
        """Everything as it stands there, inputs too; what is bad is left out."""
        names = list(self._nodes)
        found = self._do(self._attributes(names, ua.AttributeIds.Value))
        return {
            name: one.Value.Value for name, one in zip(names, found, strict=True) if one.StatusCode.is_good()
        }

    def write(self, values: Mapping[str, Value]) -> Exchange:
        """Inputs of the controller."""
        names = [name for name in values if name in self._nodes and self._wires[name].is_input]
        if len(names) != len(values):
            raise LostError(f"the link has no place to write {', '.join(sorted(set(values) - set(names)))}")
        if not self._types:
            self.problems()
        variants = [ua.Variant(self._as_there(name, values[name]), self._types[name]) for name in names]
        begun = time.monotonic_ns()
        asked = [ua.DataValue(one) for one in variants]
        nodes = [self._nodes[name] for name in names]
        for name, code in zip(
            names,
            self._do(self._client.uaclient.write_attributes(nodes, asked, ua.AttributeIds.Value)),
            strict=True,
        ):
            if not code.is_good():
                raise LostError(f"'{name}' at {self._wires[name].node} is not taken ({code.name})")
        sent = {name: _on_wire(one) for name, one in zip(names, variants, strict=True)}
        return Exchange((Part(begun, time.monotonic_ns(), sent),))

    def _as_there(self, name: str, value: Value) -> Value:
        return round(value) if self._wires[name].whole else value

    def close(self) -> None:
        """Let go of it."""
        with contextlib.suppress(LostError):
            self._do(self._client.disconnect(), 2 * self._limit)
        self._loop.call_soon_threadsafe(self._client.disconnect_socket)
        self._end_loop()

    def _turn(self) -> None:
        """The loop, until it is stopped; what still waits in it is ended with it."""
        self._loop.run_forever()
        self._loop.run_until_complete(_cancelled())
        self._loop.close()

    def _end_loop(self) -> None:
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()

    def _attributes(self, names: Sequence[str], which: Any) -> Coroutine[Any, Any, Any]:
        found: Coroutine[Any, Any, Any] = self._client.uaclient.read_attributes(
            [self._nodes[name] for name in names], which
        )
        return found

    def _do(self, work: Coroutine[Any, Any, T], limit_s: float | None = None) -> T:
        """Let the loop do it, within its limit."""
        going = asyncio.run_coroutine_threadsafe(work, self._loop)
        limit = limit_s or self._limit
        try:
            return going.result(limit)
        except Late as error:
            going.cancel()
            raise LostError(f"no answer from {self._link.address} within {limit:g} s") from error
        except LostError:
            raise
        except (UaError, OSError, ConnectionError, ValueError) as error:
            said = " ".join(str(error).split())[:100] or type(error).__name__
            raise LostError(f"no answer from {self._link.address}: {said}") from error


def _held(path: Path) -> CertProperties:
    """A key or a certificate of either form, whatever its file is called; LostError without it."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise LostError(f"cannot read {path}: {error.strerror or error}") from error
    return CertProperties(content, "pem" if content.startswith(b"-----BEGIN") else "der")


async def _is_among(pinned: CertProperties, offered: Sequence[Any]) -> bool:
    """Whether a server shows this certificate."""
    known = der_from_x509(await load_certificate(pinned.path_or_content, pinned.extension))
    return any(one.ServerCertificate == known for one in offered)


async def _cancelled() -> None:
    left = asyncio.all_tasks() - {asyncio.current_task()}
    for one in left:
        one.cancel()
    await asyncio.gather(*left, return_exceptions=True)


def _on_wire(variant: Any) -> Value:
    """A value as it is after the node's type has taken it."""
    value: Value = variant.Value
    if variant.VariantType is ua.VariantType.Float:
        return float(np.float32(value))
    return value


# BuildInfo of a server: OPC UA part 5, numeric node ids of part 6, annex A.
_BUILD = {2261: "product", 2263: "maker", 2264: "version", 2265: "build"}
