"""Doses in a terminal: the answer, the numbers, what they give, what binds, the trade-off.

Rule of this file: no line is wider than asked for but one that cannot be broken.
"""

from __future__ import annotations

import textwrap

from steadfall.dose.found import Doses
from steadfall.report.text.sizes import table
from steadfall.report.words import doses as say
from steadfall.report.words import sizes as hand
from steadfall.report.words.cautions import DOSE_CAUTION
from steadfall.size.sizes import Sizes

NARROWEST = 60


def doses_text(found: Doses, by_hand: Sizes | None, width: int = 100) -> str:
    """All of it, at most `width` columns (from 60 on)."""
    width = max(NARROWEST, width)
    blocks = [
        _wrapped(f"{'GOOD' if found.good else 'NOT GOOD'}. {say.heading(found)}", width),
        table(say.NUMBER_HEAD, say.number_rows(found), width),
        table(say.FIGURE_HEAD, say.figure_rows(found), width),
        *(_wrapped(words, width) for words in say.said(found)),
        table(say.ROOM_HEAD, say.room_rows(found), width),
        table(say.trade_head(found), say.trade_rows(found), width),
        _wrapped(say.ROUGH, width) if found.trade else "",
        *_by_hand(by_hand, width),
        _wrapped(DOSE_CAUTION[1], width),
    ]
    return "\n\n".join(block for block in blocks if block)


def _by_hand(sizes: Sizes | None, width: int) -> list[str]:
    """Sums on the back of an envelope for the doses that were found."""
    if sizes is None:
        return []
    return [
        table(hand.heat_head(sizes), hand.heat_rows(sizes), width),
        table(hand.dose_head(sizes), hand.dose_rows(sizes), width),
        _wrapped(hand.HAND_HINT, width) if sizes.hand else "",
    ]


def _wrapped(words: str, width: int) -> str:
    return "\n".join(textwrap.wrap(words, width, break_on_hyphens=False))
