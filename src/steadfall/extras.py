"""Libraries that need not be installed: each has one door, opened when it is first used.

Rule of this file: a door is a module of ours that imports its library plainly, so that the contracts see it.
Whoever needs it opens it here; a library that is missing is a sentence that says how to get it.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Iterable, Mapping
from typing import Any

from steadfall.source import OutsideError

# Which extra of this package brings a library.
EXTRAS: Mapping[str, str] = {
    "asyncua": "bench",
    "cvc5": "prove",
    "distributed": "cluster",
    "fluids": "size",
    "jinja2": "report",
    "lark": "code",
    "nicegui": "web",
    "openpyxl": "code",
    "pandas": "frame",
    "pyarrow": "frame",
    "pymodbus": "bench",
    "pymoo": "doses",
    "scipy": "bands",
    "z3": "prove",
}


def opened(door: str) -> Any:
    """A module of ours, by its whole name. Raises OutsideError where a library that it needs is missing."""
    try:
        return importlib.import_module(door)
    except ModuleNotFoundError as error:
        package = (error.name or "").partition(".")[0]
        if package not in EXTRAS:
            raise
        raise missing(package) from error


def there_are(packages: Iterable[str]) -> None:
    """Try whether libraries are there, without loading them. Raises OutsideError where one is missing."""
    for package in packages:
        if importlib.util.find_spec(package) is None:
            raise missing(package)


def missing_packages(packages: Iterable[str]) -> list[str]:
    """Those of some libraries that are not installed."""
    return [package for package in packages if importlib.util.find_spec(package) is None]


def missing(package: str) -> OutsideError:
    """What is said where a library is missing."""
    way = f"pip install 'steadfall[{EXTRAS[package]}]'"
    return OutsideError(f"this needs {package}, which is not installed; install it with: {way}")
