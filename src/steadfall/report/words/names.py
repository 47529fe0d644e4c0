"""Names as a person says them."""

from __future__ import annotations


def spoken(name: str) -> str:
    """A name as a person says it: `upper_platen` is upper platen."""
    return name.replace("_", " ")
