"""The one door to numba: compile a kernel and keep the machine code until a kernel's source changes.

numba's disk cache notices a change in the file of the function itself, not in the files of what it calls. So
the cache folder is named by a hash of every kernel source, of the constants that they freeze, and of the
versions of numba and numpy: a changed kernel finds an empty folder and compiles again, and nothing stale is
ever run.
"""

from __future__ import annotations

import hashlib
import importlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba
import numpy
import platformdirs

from steadfall.unneeded import without

F = TypeVar("F", bound=Callable[..., Any])

KERNEL_FOLDERS = ("plant", "predict", "runs", "scan")
UNUSED = ("scipy.linalg", "cffi")  # numba looks for both; no kernel has either
KERNEL_FILES = ("compiled.py", "constants.py")  # how they are compiled, and the numbers that numba freezes


def fingerprint() -> str:
    """A hash of all kernel sources and of the versions of numba and numpy."""
    root = Path(__file__).parent
    digest = hashlib.sha256(f"{numba.__version__} {numpy.__version__}".encode())
    found = [path for folder in KERNEL_FOLDERS for path in sorted((root / folder).rglob("*.py"))]
    for path in (*found, *(root / name for name in KERNEL_FILES)):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def cache_folder() -> Path:
    """Where the machine code lies: STEADFALL_CACHE or the user's cache folder, else a temporary one."""
    base = Path(os.environ.get("STEADFALL_CACHE") or platformdirs.user_cache_dir("steadfall"))
    folder = base / f"kernels-{fingerprint()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError:
        return Path(tempfile.mkdtemp(prefix="steadfall-kernels-"))
    return folder


def _look_around() -> None:
    """Let numba look now for what else is installed, as it does before its first kernel, and miss some of
    it: to load that took a seventh of the CPU of a small command.
    """
    with without(*UNUSED):
        for name in ("numba.np.arraymath", "numba.core.typing.cffi_utils"):
            importlib.import_module(name)


FOLDER = cache_folder()
numba.config.CACHE_DIR = str(FOLDER)
_look_around()


def cold() -> bool:
    """Whether no kernel of this version has been compiled on this machine yet."""
    return not any(FOLDER.iterdir())


def kernel(function: F) -> F:
    """Compile a function for speed: IEEE arithmetic as written, division by zero gives inf, no Python
    objects, and other threads may run meanwhile.
    """
    compiled: F = numba.njit(cache=True, error_model="numpy", fastmath=False, nogil=True)(function)
    return compiled


def lean_kernel(function: F) -> F:
    """Compile as `kernel` does, without counting references to arrays: for functions that make no array of
    their own.

    Handing an array on costs two atomic operations otherwise, which took a quarter of the plant's step. numba
    offers the switch to its own extensions (`_nrt=False`, documented there as "disable runtime allocation").
    What an `inlined_kernel` is compiled into must be lean, too.
    """
    compiled: F = numba.njit(cache=True, error_model="numpy", fastmath=False, nogil=True, _nrt=False)(
        function
    )
    return compiled


def inlined_kernel(function: F) -> F:
    """Compile as `lean_kernel` does, into the place where it is called: for what is handed many arrays and is
    called from few places.

    A call hands on every array word by word, seven words for a table and some 400 for the whole plant.
    """
    compiled: F = numba.njit(cache=True, error_model="numpy", fastmath=False, _nrt=False, inline="always")(
        function
    )
    return compiled
