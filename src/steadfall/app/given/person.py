"""Who sits at this machine, as far as it is known."""

from __future__ import annotations

import getpass
import os

NAME = "STEADFALL_BENCH_NAME"  # a bench is often one login that several share


def person() -> str:
    """The name in STEADFALL_BENCH_NAME, else the one that is logged in; "" where the system has none."""
    try:
        return os.environ.get(NAME) or getpass.getuser()
    except (ImportError, KeyError, OSError):  # no such user, or no module that knows users
        return ""
