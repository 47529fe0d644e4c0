"""Starter plans: commented plans of typical plants, to begin from.

Rule of this file: each starter checks clean, and says that its data is invented.
"""

from __future__ import annotations

from importlib.resources import files

PATTERNS = ("press", "oven", "barrel", "roll")


def starter(pattern: str) -> str:
    """The text of a starter plan: "press", "oven", "barrel" or "roll"."""
    if pattern not in PATTERNS:
        raise ValueError(f"{pattern!r} is not one of {', '.join(PATTERNS)}")
    return (files("steadfall.plan") / "starters" / f"{pattern}.yaml").read_text(encoding="utf-8")
