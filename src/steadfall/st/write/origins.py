"""Which lines of the plan each line of an emitted text came from: the comments that end its statements, read.

Rule of this file: the form is that of `unit.origin`; a test reads back what was written.
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import PurePath

from steadfall.st.write.unit import comment

Origins = tuple[tuple[int, ...], ...]


def origins(text: str, file: str) -> Origins:
    """For each line of a text that was emitted from a plan of this name, the plan's lines."""
    name = re.escape(comment(PurePath(file).name))
    told = re.compile(rf"\(\* (?:.*, )?{name}:(?P<lines>\d+(?:, \d+)*) \*\)$")
    lines = text.split("\n")
    marks = [told.search(line) for line in lines]
    found = [tuple(map(int, mark["lines"].split(", "))) if mark else () for mark in marks]
    for before, after in reversed(list(pairwise(range(len(lines))))):
        if not found[before] and _folded(lines[before], lines[after]):
            found[before] = found[after]
    return tuple(found)


def _folded(line: str, after: str) -> bool:
    """Whether a statement goes on in the line after this one, which stands further in."""
    ended = not line.strip() or line.startswith("VAR") or line.rstrip().endswith((";", "*)", "ELSE"))
    return not ended and _indent(after) > _indent(line)


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())
