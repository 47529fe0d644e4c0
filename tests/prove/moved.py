# ruff: noqa: E501 - a page in one piece
"""Every number of the examples' controllers moved by one per cent and by one scan: what becomes of it.

`python -m tests.prove.moved` writes docs/numbers.md anew, a few seconds a move; `... moved barrel roll:60` the
barrel's table and sixty of the roll's moves, the others stay. The requirements are those of the plan as it is;
only the controller's number is moved.
"""

from __future__ import annotations

import multiprocessing
import random
import re
import sys
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache, partial
from pathlib import Path

from attrs import evolve, frozen

from steadfall.logic.network import Network
from steadfall.plan.read.whole import read_file
from tests.examples import EXAMPLES
from tests.prove.breaking import MISSED, REFUTED, SAME, Bed, Fate
from tests.prove.numbers import Number, numbers, with_moved

PAGE = Path(__file__).parents[2] / "docs" / "numbers.md"
FATES = (REFUTED, SAME, MISSED)


@frozen
class Moved:
    """A number, how it was moved, and what came of it."""

    number: Number
    move: str
    to: float
    fate: Fate = Fate(MISSED)


def moves(network: Network, scan_ms: int) -> Iterator[Moved]:
    """Every move of every number of a controller."""
    for number in numbers(network):
        for move, to in number.moved(scan_ms).items():
            yield Moved(number, move, to)


def tried(bed: Bed, one: Moved) -> Moved:
    """A move with what becomes of it."""
    number = one.number
    change = partial(with_moved, number=number, to=one.to)
    return evolve(one, fate=bed.fate(change, [number.signal], number.value))


@lru_cache
def bed_of(name: str) -> Bed:
    """The bed of an example, made once in a process."""
    return Bed(read_file(EXAMPLES[name]))


def moves_of(name: str) -> list[Moved]:
    """Every move of every number of an example."""
    bed = bed_of(name)
    return list(moves(bed.right, bed.plan.scan.nominal_ms))


def tried_on(name: str, one: Moved) -> Moved:
    """What becomes of a move in an example."""
    return tried(bed_of(name), one)


def page(old: str, tables: Mapping[str, str]) -> str:
    """The page with these tables, by the names of their plans; the others stay as they are."""
    parts = (part for part in re.split(r"(?m)^(?=## )", old) if part.startswith("## "))
    every = {part[3 : part.index(":")]: part.rstrip() for part in parts} | dict(tables)
    return "\n".join([*HEAD, "\n\n".join(every[name].rstrip() for name in sorted(every)), ""])


HEAD = (
    "# Every number moved",
    "",
    "Written by `python -m tests.prove.moved`: each time or measured value of the examples' controllers, in one",
    "place of their networks, is moved by one per cent and by one scan (20 ms), up and down. The requirements are",
    "those of the plan as it is. *Refuted*: the interpreter has run a violation. *No output differs*: no run breaks",
    "anything, and all outputs are proved equal to the right ones for ever, or what is moved never to matter.",
    "*Missed*: neither. A clock's `limit` is where it stops counting.",
    "An example that does not stand below was not run since it last changed; of one whose heading says *of* only",
    "those moves were run that stand here.",
    "",
    "Where no output differs nothing need break. Of each kind:",
    "",
    "- a `borrowed` constant stands in states that do not dose, so that it is never asked;",
    "- a share below the shortest opening is 2 %, and the barrel's call is given up at 2.5 %: none is so short;",
    "- a share that is open for the whole cycle may be so for longer: the next cycle begins;",
    "- a clock may stop counting later than what it is compared with, not sooner;",
    "- `bad_above` of a sensor whose climb holds while it reads hot: as bad, or as hot, it holds the climb;",
    "- `below` of `let_go_first`: a call is let go below the least of its thresholds, whatever the others are.",
    "",
)


def table(name: str, rows: Sequence[Moved], of: int) -> str:
    """The fates of one plan's numbers: of all its moves, or of so many of them."""
    counts = ", ".join(f"{sum(row.fate.fate == word for row in rows)} {word}" for word in FATES)
    many = f"{len(rows)} moves" if len(rows) == of else f"{len(rows)} of {of} moves"
    head = (
        f"## {name}: {many}: {counts}",
        "",
        "| signal | number | is | moved | to | fate | by | after |",
        "|---|---|---|---|---|---|---|---|",
    )
    return "\n".join([*head, *map(line, rows)])


def line(row: Moved) -> str:
    """One move."""
    of, fate = row.number, row.fate
    to = evolve(of, value=row.to).shown
    after = f"{fate.after_ms / 1000:g} s" if fate.fate == REFUTED else ""
    cells = of.signal, of.label or "borrowed", of.shown, row.move, to, fate.fate, fate.by, after
    return f"| {' | '.join(cells)} |"


def drawn(name: str, many: int) -> list[Moved]:
    """So many of an example's moves, always the same, in their order."""
    every = moves_of(name)
    return [every[place] for place in sorted(random.Random(1).sample(range(len(every)), many))]


def main() -> None:
    tables = {}
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        for asked in sys.argv[1:] or sorted(EXAMPLES):
            name, _, many = asked.partition(":")
            every, rows = drawn(name, int(many)) if many else moves_of(name), []
            for found in pool.map(tried_on, (name for _ in every), every):
                rows.append(found)
                print(name, line(found), file=sys.stderr, flush=True)
            tables[name] = table(name, rows, len(moves_of(name)))
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8"), tables), encoding="utf-8")


if __name__ == "__main__":
    main()
