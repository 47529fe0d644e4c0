"""Files that are written whole or not at all, and folders that are tried before the work."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from steadfall.extras import there_are
from steadfall.interrupt import removed
from steadfall.source import OutsideError

DRAFT = ".steadfall-"  # how the name of a folder begins in which files are made


def ready(folder: Path, packages: Sequence[str] = ()) -> None:
    """Try a folder before the work: whether files can be written there, and the packages for them are there.

    Nothing is made. Raises OutsideError.
    """
    there = next(path for path in (folder.absolute(), *folder.absolute().parents) if path.exists())
    if not there.is_dir():
        raise OutsideError(f"cannot write into {folder}: {there} is a file")
    if not os.access(there, os.W_OK | os.X_OK):
        raise OutsideError(f"cannot write into {folder}: Permission denied")
    try:
        with tempfile.TemporaryFile(dir=there) as tried:
            tried.write(b"one byte")
    except OSError as error:  # a full disk, a file system that cannot be written
        raise OutsideError(f"cannot write into {folder}: {error.strerror or error}") from error
    there_are(packages)


@contextmanager
def drafted(folder: Path) -> Iterator[Path]:
    """A folder to make files in; they are moved to their place once all of them are whole.

    Raises OutsideError where the place cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with removed(Path(tempfile.mkdtemp(prefix=DRAFT, dir=folder))) as draft:
            yield draft
            for path in sorted(draft.iterdir()):
                path.replace(folder / path.name)
    except OSError as error:
        raise OutsideError(f"cannot write into {folder}: {error.strerror or error}") from error


def write(files: Mapping[str, bytes | str], folder: Path) -> tuple[Path, ...]:
    """Write files by their names and give their paths."""
    with drafted(folder) as draft:
        for name, content in files.items():
            data = content if isinstance(content, bytes) else content.encode("utf-8")
            (draft / name).write_bytes(data)
    return tuple(folder / name for name in files)
