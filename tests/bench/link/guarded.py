"""A controller at OPC UA that asks who comes: it believes one user with a password and a certificate."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from asyncua import Server, ua
from asyncua.crypto.cert_gen import setup_self_signed_certificate
from asyncua.crypto.permission_rules import User, UserRole
from cryptography.x509.oid import ExtendedKeyUsageOID

from steadfall.bench.link.opcua.keys import new_keys
from steadfall.bench.link.wires import Wire
from steadfall.logic.nodes import Type

USER, SECRET, PATIENT_S = "bench", "a word that nobody else knows", 60.0
FIRST: Mapping[Type, tuple[Any, ua.VariantType]] = {
    Type.BOOL: (True, ua.VariantType.Boolean), Type.REAL: (0.0, ua.VariantType.Float),
    Type.INT: (0, ua.VariantType.Int16),
}  # fmt: skip


class Guard:
    """Knows one user."""

    def get_user(
        self, _server: Any, username: str | None = None, password: str | None = None, certificate: Any = None
    ) -> User | None:
        right = username == USER and password == SECRET and certificate is not None
        return User(role=UserRole.User, name=USER) if right else None


@contextmanager
def guarded(folder: Path, wires: Sequence[Wire]) -> Iterator[str]:
    """It serves; its address. In the folder are then `server.der`, and keys for who comes."""
    ready, told, loop = threading.Event(), list[str](), asyncio.new_event_loop()
    over = asyncio.Event()
    work = _serve(folder, wires, (ready, over), told)
    thread = threading.Thread(target=loop.run_until_complete, args=(work,))
    thread.start()
    assert ready.wait(PATIENT_S)
    new_keys(folder)
    try:
        yield told[0]
    finally:
        loop.call_soon_threadsafe(over.set)
        thread.join()
        loop.close()


async def _serve(
    folder: Path, wires: Sequence[Wire], turns: tuple[threading.Event, asyncio.Event], told: list[str]
) -> None:
    key, certificate = folder / "server.pem", folder / "server.der"
    use = [ExtendedKeyUsageOID.SERVER_AUTH]
    await setup_self_signed_certificate(key, certificate, "urn:it", "127.0.0.1", use, {})
    server = Server(user_manager=Guard())
    await server.init()
    await server.set_application_uri("urn:it")
    server.set_endpoint("opc.tcp://127.0.0.1:0/")
    server.set_security_policy([ua.SecurityPolicyType.Basic256Sha256_SignAndEncrypt])
    await server.load_certificate(str(certificate))
    await server.load_private_key(str(key))
    await server.register_namespace("urn:it")
    for wire in wires:
        place = ua.NodeId.from_string(wire.node)
        node = await server.nodes.objects.add_variable(place, wire.signal, *FIRST[wire.type])
        if wire.is_input:
            await node.set_writable()
    async with server:
        told.append(f"opc.tcp://127.0.0.1:{server.bserver._server.sockets[0].getsockname()[1]}/")
        turns[0].set()
        await turns[1].wait()
