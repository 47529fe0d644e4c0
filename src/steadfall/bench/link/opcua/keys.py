"""Keys of the bench for OPC UA: a private key that its owner alone can read, and a certificate for a year.

Rule of this file: a key that is there already is never written over.
"""

from __future__ import annotations

import asyncio
import os
import socket
from pathlib import Path

from asyncua.crypto.cert_gen import setup_self_signed_certificate
from cryptography.x509.oid import ExtendedKeyUsageOID

from steadfall.source import OutsideError

URI = "urn:steadfall:bench"  # who comes: it stands in the certificate, and the client says it
KEY, CERTIFICATE = "bench.key", "bench.der"
OWNER_ALONE = 0o077  # what is taken from others while the key is written


def new_keys(folder: Path) -> tuple[Path, Path]:
    """Make a key and its certificate in a folder. Raises OutsideError where one is there, or it cannot be."""
    key, certificate = folder / KEY, folder / CERTIFICATE
    for path in (key, certificate):
        if path.exists():
            raise OutsideError(f"{path} is there already; keys are never written over")
    before = os.umask(OWNER_ALONE)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        made = setup_self_signed_certificate(
            key, certificate, URI, socket.gethostname(), [ExtendedKeyUsageOID.CLIENT_AUTH],
            {"organizationName": "Steadfall bench"},
        )  # fmt: skip
        asyncio.run(made)
    except OSError as error:
        raise OutsideError(f"cannot write into {folder}: {error.strerror or error}") from error
    finally:
        os.umask(before)
    return key, certificate
