"""Sizes in a terminal: verdict, every part with its rows and reasons, the batch, notes.

Rule of this file: no line is wider than asked for but one that cannot be broken.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby

from steadfall.report.words import sizes as say
from steadfall.report.words.cautions import SIZE_CAUTION
from steadfall.report.words.sizes import SizeRow
from steadfall.size.sizes import Sizes

WIDTH, NARROWEST = 100, 60
GAP = "  "


def sizes_text(sizes: Sizes, width: int = WIDTH) -> str:
    """All of it, at most `width` columns (from 60 on)."""
    width = max(NARROWEST, width)
    plan = sizes.plan
    head = [plan.title, f"plan {plan.digest[:12]}" if plan.digest else "", say.size_verdict(sizes)]
    blocks = [
        "\n".join(line for words in head if words for line in textwrap.wrap(words, width)),
        *_parts(say.size_rows(sizes), width),
        table(say.SHARING_HEAD, say.sharing_rows(sizes), width),
        table(say.heat_head(sizes), say.heat_rows(sizes), width),
        table(say.dose_head(sizes), say.dose_rows(sizes), width),
        "\n".join(textwrap.wrap(say.HAND_HINT, width)) if sizes.hand else "",
        table(say.batch_head(sizes), say.batch_rows(sizes), width),
        table(say.LIFE_HEAD, say.life_rows(sizes), width),
        "\n".join(["Notes", *(line for note in sizes.notes for line in _wrapped(note, "  - ", width))]),
        "\n".join(textwrap.wrap(SIZE_CAUTION[1], width)),
    ]
    return "\n\n".join(block for block in blocks if block)


def _parts(rows: Sequence[SizeRow], width: int) -> Iterator[str]:
    """Part by part: its name and line, then its rows, each with its reason below."""
    widths = [max(len(cell) for cell in column) for column in zip(*map(_cells, rows), strict=True)]
    for about, group in groupby(rows, key=lambda row: row.about):
        lines = [about]
        for row in group:
            cells = (f"{cell:<{wide}}" for cell, wide in zip(_cells(row), widths, strict=True))
            line = f"line {row.line}" if row.line else ""
            lines.append(f"{GAP}{GAP.join(cells)}{GAP}{line}".rstrip())
            lines += _wrapped(row.reason, "      ", width)
        yield "\n".join(lines)


def _cells(row: SizeRow) -> tuple[str, ...]:
    return row.what, row.asked, row.given, row.word, row.would


def _wrapped(words: str, before: str, width: int) -> list[str]:
    after = " " * len(before)
    return textwrap.wrap(words, width, initial_indent=before, subsequent_indent=after)


def table(head: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> str:
    """Aligned columns, the first to the left, narrower gaps where there is no room; nothing without a row."""
    if not rows:
        return ""
    every = [head, *rows]
    widths = [max(len(row[place]) for row in every) for place in range(len(head))]
    gap = GAP if sum(widths) + len(GAP) * (len(widths) - 1) <= width else " "
    return "\n".join(
        gap.join(
            f"{cell:<{wide}}" if place == 0 else f"{cell:>{wide}}"
            for place, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in every
    )
