"""Counts the work of a piece of code, in function calls: the same on a fast machine and on a busy one."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any


@contextmanager
def at_most(calls: int) -> Iterator[None]:
    """Fails as soon as what is done in it calls more functions than that, so that nothing hangs."""
    left = calls

    def count(_frame: FrameType, event: str, _argument: Any) -> None:
        nonlocal left
        left -= event in ("call", "c_call")
        if left < 0:
            sys.setprofile(None)
            raise AssertionError(f"more than {calls} calls")

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        yield
    finally:
        sys.setprofile(before)
