"""Who sits at this machine, as far as it says."""

from __future__ import annotations

import getpass


def login() -> str:
    """The name that somebody is logged in with; "" where the system has none."""
    try:
        return getpass.getuser()
    except (ImportError, KeyError, OSError):  # no such user, or no module that knows users
        return ""
