"""Parts of Steadfall that are loaded when they are first used; what a part needs may not be installed."""

from __future__ import annotations

import importlib
from typing import Any

from steadfall.source import OutsideError


def loaded(module: str) -> Any:
    """A module of Steadfall; raises OutsideError, with the way to get it, where a package is missing."""
    try:
        return importlib.import_module(module)
    except ModuleNotFoundError as error:
        package = (error.name or "").partition(".")[0]
        if package == "steadfall":
            raise
        raise OutsideError(
            f"this needs {package}, which is not installed; install it with: pip install 'steadfall[all]'"
        ) from error
