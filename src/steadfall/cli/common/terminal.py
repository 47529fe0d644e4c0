"""How wide the terminal is."""

from __future__ import annotations

import os
import sys

PIPED, NARROWEST, WIDEST = 100, 60, 132  # letters


def columns() -> int:
    """The letters of a line: those of the terminal, or as COLUMNS says; 100 where the output goes
    elsewhere.
    """
    said = os.environ.get("COLUMNS", "")
    if said.isdigit():
        found = int(said)
    elif sys.stdout.isatty():
        found = os.get_terminal_size(sys.stdout.fileno()).columns
    else:
        found = PIPED
    return min(WIDEST, max(NARROWEST, found))
