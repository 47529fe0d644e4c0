# ruff: noqa: E501 - a page in one piece
"""Every number of the examples' controllers moved by one per cent and by one scan: what becomes of it.

`python -m tests.prove.moved` writes docs/numbers.md anew (some minutes a plan). The requirements are those of
the plan as it is; only the controller's number is moved.
"""

from __future__ import annotations

import multiprocessing
import sys
from collections.abc import Iterable, Iterator
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


def page(tables: Iterable[tuple[str, list[Moved]]]) -> str:
    """The fates as a page."""
    return "\n".join([*HEAD, *(line for name, rows in tables for line in table(name, rows))])


HEAD = (
    "# Every number moved",
    "",
    "Written by `python -m tests.prove.moved`: each time or measured value of the examples' controllers, in one",
    "place of their networks, is moved by one per cent and by one scan (20 ms), up and down. The requirements are",
    "those of the plan as it is. *Refuted*: the interpreter has run a violation. *No output differs*: no run breaks",
    "anything, and all outputs are proved equal to the right ones for ever. *Missed*: neither. A clock's `limit` is",
    "where it stops counting.",
    "An example that does not stand below was not run since it last changed.",
    "",
    "Where no output differs nothing need break. Of each kind:",
    "",
    "- a `borrowed` constant stands in states that do not dose, so that it is never asked;",
    "- a clock may stop counting later than what it is compared with, not sooner;",
    "- `bad_above` of a sensor whose climb holds while it reads hot: as bad, or as hot, it holds the climb;",
    "- `below` of `let_go_first`: a call is let go below the least of its thresholds, whatever the others are.",
    "",
)


def table(name: str, rows: list[Moved]) -> Iterator[str]:
    """The fates of one plan's numbers."""
    counts = ", ".join(f"{sum(row.fate.fate == word for row in rows)} {word}" for word in FATES)
    yield from (f"## {name}: {len(rows)} moves: {counts}", "")
    yield from (
        "| signal | number | is | moved | to | fate | by | after |",
        "|---|---|---|---|---|---|---|---|",
    )
    yield from (line(row) for row in rows)
    yield ""


def line(row: Moved) -> str:
    """One move."""
    of, fate = row.number, row.fate
    to = evolve(of, value=row.to).shown
    after = f"{fate.after_ms / 1000:g} s" if fate.fate == REFUTED else ""
    cells = of.signal, of.label or "borrowed", of.shown, row.move, to, fate.fate, fate.by, after
    return f"| {' | '.join(cells)} |"


def main() -> None:
    tables = []
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        for name in sys.argv[1:] or sorted(EXAMPLES):
            every, rows = moves_of(name), []
            for found in pool.map(tried_on, (name for _ in every), every):
                rows.append(found)
                print(name, line(found), file=sys.stderr, flush=True)
            tables.append((name, rows))
    PAGE.write_text(page(tables), encoding="utf-8")


if __name__ == "__main__":
    main()
