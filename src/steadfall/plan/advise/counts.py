"""Advice on counts whose type cannot show that a sensor is bad.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece
from steadfall.plan.meaning.handed import handed_by, shown_ends, whole_type
from steadfall.plan.model import Plan
from steadfall.source import Problem


def broken_wire_unseen(plan: Plan) -> Advice:
    """A broken wire reads as low as it can; where that is a good reading, hot metal is taken for cold."""
    for item in plan.inputs.values():
        word, raw = whole_type(item), item.raw
        if word is not None and raw is not None and shown_ends(item)[0] > item.good[0]:
            least, bad = (handed_by(item).of(end) for end in (shown_ends(item)[0], item.good[0]))
            read = f"a broken wire reads {least:.0f}, the least of a {word}, and is bad only from {bad:.0f}"
            read += " down"
            expected = "a card whose counts go on below the range"
            yield Problem(item.at.of("raw"), "broken-wire-unseen", item.name, read, expected)


PIECES: tuple[Piece, ...] = (broken_wire_unseen,)
