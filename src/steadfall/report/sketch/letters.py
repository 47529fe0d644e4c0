"""How wide words are on a sheet, without a font at hand.

Rule of this file: the estimate is that of the fonts that the sheets ask for, and a little more, so that words
which do not overlap here do not overlap on a screen.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum

# Advance widths in 1/1000 of the size, of the letters of Liberation Sans, which has those of Arial
# (read from LiberationSans-Regular.ttf). Others count as wide as the widest.
_ALIKE: Mapping[int, str] = {
    191: "'",
    222: "ijl",
    260: "|",
    278: " !,./:;I[\\]ft\N{MIDDLE DOT}\N{NO-BREAK SPACE}",
    333: "()-`r{}\N{SUPERSCRIPT THREE}",
    355: '"',
    389: "*",
    400: "\N{DEGREE SIGN}",
    469: "^",
    500: "Jcksvxyz",
    556: "#$0123456789?L_abdeghnopqu\N{EN DASH}",
    584: "+<=>~\N{MULTIPLICATION SIGN}",
    611: "FTZ",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQ\N{LATIN CAPITAL LETTER O WITH STROKE}",
    833: "Mm",
    889: "%",
    944: "W",
}
_WIDTHS = {letter: width for width, letters in _ALIKE.items() for letter in letters}
_WIDEST = 1015
_MORE = 1.04  # other fonts of the list, hinting; measured in a browser: words take 90 to 100 % of it
_BOLD = 1.13
_PIECES = re.compile(r"(?:[^ _.,]|\.(?=\d))*[ _.,]?")  # a point within a number is no end
CUT = "\N{HORIZONTAL ELLIPSIS}"


class Look(StrEnum):
    """What words are for, and so how they are set."""

    HEAD = "head"
    NAME = "name"
    SMALL = "small"
    LETTERS = "letters"  # in an instrument's circle


SIZES: Mapping[Look, float] = {Look.HEAD: 15.0, Look.NAME: 12.0, Look.SMALL: 11.0, Look.LETTERS: 9.5}  # px


def width(text: str, look: Look) -> float:
    """How many px a line of words takes."""
    units = sum(_WIDTHS.get(letter, _WIDEST) for letter in text)
    bold = _BOLD if look in (Look.HEAD, Look.NAME) else 1.0
    return units / 1000 * SIZES[look] * _MORE * bold


def whole(quantity: str) -> str:
    """A number that no line ends between it and its unit."""
    return quantity.replace(" ", "\N{NO-BREAK SPACE}")


def wrapped(text: str, room: float, look: Look, most: int = 2) -> tuple[str, ...]:
    """Words in at most so many lines of so many px; a line ends where a name can be broken, and what is too
    long is cut.
    """
    lines = [""]
    for piece in _PIECES.findall(text):
        if width((lines[-1] + piece).rstrip(), look) <= room or not lines[-1]:
            lines[-1] += piece
        else:
            lines.append(piece)
    lines = [line.rstrip() for line in lines]
    if len(lines) > most:
        lines = [*lines[: most - 1], "".join((lines[most - 1], CUT))]
    return tuple(_cut(line, room, look) for line in lines if line)


def _cut(line: str, room: float, look: Look) -> str:
    if width(line, look) <= room:
        return line
    kept = line.removesuffix(CUT)
    while kept and width(kept + CUT, look) > room:
        kept = kept[:-1]
    return kept + CUT
