"""Libraries that another one would load for what nobody here asks of it: small commands need not wait."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any


@contextmanager
def without(*names: str) -> Iterator[None]:
    """What is loaded meanwhile misses these libraries, as if they were not installed; loaded ones stay."""
    loaded: Any = sys.modules
    missed = [name for name in names if name not in loaded]
    loaded.update(dict.fromkeys(missed))  # None: not installed
    try:
        yield
    finally:
        for name in missed:
            del loaded[name]
