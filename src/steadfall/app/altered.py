"""What stands otherwise in two plans, without a proof: light enough for a page to load as it begins."""

from __future__ import annotations

from steadfall.plan.read.whole import read_text
from steadfall.plan.revise.changes import Change, changes

__all__ = ["Change", "altered"]


def altered(first: tuple[str, str], second: tuple[str, str]) -> tuple[Change, ...]:
    """What stands otherwise in two plans that are each a text and its name: no proof is asked, so it is there
    at once. What is renamed counts as a difference.
    """
    one, two = (read_text(text, name) for text, name in (first, second))
    return changes(one, two)
