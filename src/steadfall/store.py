"""What was found out before, kept in the user's cache folder from one run of the program to the next.

Rule of this file: what is kept may be gone, cut short or changed by anybody, at any time. So whoever reads it
checks it, and a file that cannot be read is as if it were not there. Several processes may read and write at
once: a file comes into being whole, under its last name.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

import platformdirs
from attrs import frozen

MOST = 64 * 2**20  # bytes of all files together
LEFT = 0.75  # of them after the oldest have gone
ENDING = ".json"


@frozen
class Store:
    """A folder of small files, each under a key that says all that its content hangs on."""

    folder: Path
    most: int = MOST

    def get(self, *key: object) -> Any:
        """What is kept under a key; None where nothing is, or nothing that can be read."""
        path = self._path(key)
        try:
            found = json.loads(path.read_bytes())
            os.utime(path)  # what is used stays
        except (OSError, ValueError, RecursionError):
            return None
        return found

    def put(self, value: Any, *key: object) -> None:
        """Keeps something; where that cannot be done nothing is kept."""
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            with NamedTemporaryFile("w", dir=self.folder, encoding="ascii", delete=False) as made:
                json.dump(value, made)
            os.replace(made.name, self._path(key))
            self._make_room()

    def _path(self, key: tuple[object, ...]) -> Path:
        return self.folder / (hashlib.sha256(repr(key).encode()).hexdigest() + ENDING)

    def _make_room(self) -> None:
        files = sorted(self._files())
        left = sum(size for _, size, _ in files)
        if left <= self.most:
            return
        for _, size, name in files:
            if left <= LEFT * self.most:
                break
            with suppress(OSError):
                os.unlink(name)
            left -= size

    def _files(self) -> Iterator[tuple[float, int, str]]:
        """Every file, by when it was last used; what a process left half-written is among them."""
        with os.scandir(self.folder) as found:
            for one in found:
                with suppress(OSError):
                    here = one.stat()
                    yield here.st_mtime, here.st_size, one.path


def users_store(name: str) -> Store | None:
    """The store of that name in STEADFALL_CACHE, else in the user's cache folder."""
    return Store(Path(os.environ.get("STEADFALL_CACHE") or platformdirs.user_cache_dir("steadfall")) / name)
