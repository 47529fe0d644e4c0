"""What an answer hangs on beside its question: the version of everything that looks for it."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.metadata import version
from pathlib import Path

import steadfall

FOLDERS = ("logic", "runs", "scan", "prove")
LIBRARIES = ("z3-solver", "numpy")


@cache
def searchers() -> str:
    """A hash of the sources that look for an answer, and of the libraries that they look with."""
    root = Path(steadfall.__file__).parent
    digest = hashlib.sha256(" ".join(f"{name} {version(name)}" for name in LIBRARIES).encode())
    for path in (path for folder in FOLDERS for path in sorted((root / folder).rglob("*.py"))):
        digest.update(path.relative_to(root).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()
