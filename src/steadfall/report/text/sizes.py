"""Sizes in a terminal: verdict, every part with its rows and reasons, the batch, notes.

Rule of this file: no line is wider than asked for but one that cannot be broken.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby

from steadfall.report.words.cautions import SIZE_CAUTION
from steadfall.report.words.sizes import (
    BATCH_HEAD,
    LIFE_HEAD,
    SHARING_HEAD,
    SizeRow,
    batch_rows,
    life_rows,
    sharing_rows,
    size_rows,
    size_verdict,
)
from steadfall.size.sizes import Sizes

WIDTH, NARROWEST = 100, 60
GAP = "  "


def sizes_text(sizes: Sizes, width: int = WIDTH) -> str:
    """All of it, at most `width` columns (from 60 on)."""
    width = max(NARROWEST, width)
    plan = sizes.plan
    head = [plan.title, f"plan {plan.digest[:12]}" if plan.digest else "", size_verdict(sizes)]
    blocks = [
        "\n".join(line for words in head if words for line in textwrap.wrap(words, width)),
        *_parts(size_rows(sizes), width),
        _table(SHARING_HEAD, sharing_rows(sizes)),
        _table(BATCH_HEAD, batch_rows(sizes)),
        _table(LIFE_HEAD, life_rows(sizes)),
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


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Aligned columns, the first to the left; nothing without a row."""
    if not rows:
        return ""
    every = [head, *rows]
    widths = [max(len(row[place]) for row in every) for place in range(len(head))]
    return "\n".join(
        GAP.join(
            f"{cell:<{wide}}" if place == 0 else f"{cell:>{wide}}"
            for place, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in every
    )
