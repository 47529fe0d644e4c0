"""What can be a name in a plan.

Rule of this file: a name must also be one in structured text, and no word of a condition, call or table.
"""

from __future__ import annotations

import re

from steadfall.plan.text.words import NAME_EXPECTED, NOT_A_NAME, RESERVED

__all__ = ["NAME", "NAME_EXPECTED", "NOT_A_NAME", "TAKEN", "why_no_name"]

# Words that mean something of their own in conditions, calls and tables of valves.
TAKEN = RESERVED | {
    "permitted",
    "tripped",
    "done",
    "on_hold",
    "in_hand",
    "in_test",
    "ambient",
    "idle",
    "finishing",
    "name",
    "climb",
    "at",
}
NAME = r"[A-Za-z_][A-Za-z0-9_.]*"  # where a sentence has one
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9]*(?:_[A-Za-z0-9]+)*\Z")


def why_no_name(text: str) -> str:
    """Why a text cannot be a name (in structured text neither could it), or nothing."""
    if text in TAKEN:
        return "has a meaning of its own and cannot be a name"
    return "" if _NAME.match(text) else NOT_A_NAME
