"""The example plans of the repository."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
EXAMPLES = {path.stem: path for path in sorted((ROOT / "examples").glob("*.yaml"))}
SMALL = {name: path for name, path in EXAMPLES.items() if name != "roll"}  # for what takes long


def plain(kernel: Any) -> Callable[..., Any]:
    """A compiled function as the plain Python that it was written in."""
    function: Callable[..., Any] = kernel.py_func
    return function
