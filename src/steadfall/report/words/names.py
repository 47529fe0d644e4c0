"""Names as a person says them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from textwrap import wrap

_OF_CIRCUIT = re.compile(r"(?<=\w)\.(?=[a-z_])")  # between two names, not in a number


def spoken(name: str) -> str:
    """A name as a person says it: `upper_platen` is upper platen."""
    return name.replace("_", " ")


def sentence(text: str) -> str:
    """A limit or a goal of a plan as charts say it: `upper.wall, fall_rate at most 0.5 K/s` is upper: wall,
    fall rate at most 0.5 K/s.
    """
    return spoken(_OF_CIRCUIT.sub(": ", text))


def cut(names: Sequence[str], most: int) -> list[str]:
    """Names of at most so many letters each: cut at their end, or where two would then look alike before the
    last words, as few as tell them apart; as a last resort with a number.
    """
    found = [_shorter(name, most, 0) for name in names]
    for words in (1, 2, 3):
        uses = Counter(found)
        found = [
            short if uses[short] == 1 else _shorter(name, most, words)
            for short, name in zip(found, names, strict=True)
        ]
    seen: set[str] = set()
    for place, name in enumerate(names):
        number = 1
        while found[place] in seen and len(name) > most:
            number += 1
            found[place] = f"{name[: most - 3]}\N{HORIZONTAL ELLIPSIS}{number:>2}"
        seen.add(found[place])
    return found


def in_lines(name: str, most: int) -> str:
    """A name over up to three lines of at most so many letters each, parted between words."""
    lines = wrap(name, most)
    return "\n".join([*lines[:2], *cut([" ".join(lines[2:])], most)] if len(lines) > 3 else lines)


def _shorter(name: str, most: int, words: int) -> str:
    """A name cut to so many letters, with its last words where they have room."""
    if len(name) <= most:
        return name
    tail = " ".join(name.split(" ")[-words:]) if words else ""
    tail = tail if len(tail) < most - 2 else ""
    return f"{name[: most - len(tail) - 1]}\N{HORIZONTAL ELLIPSIS}{tail}"
