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
from pathlib import Path

from attrs import evolve, frozen

from steadfall.logic.build.whole import build
from steadfall.logic.forms import any_of
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Read, Type
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.prove.compare.equal import by_correspondence, by_wording
from steadfall.prove.compare.side_by_side import Pair
from steadfall.prove.decide.processes import Hands
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs import far
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.cone import cone
from steadfall.prove.system.replay import replay
from steadfall.prove.system.step import model
from steadfall.roles import observer
from steadfall.runs.run import Run
from tests.examples import EXAMPLES
from tests.prove.numbers import Number, numbers, with_moved

PAGE = Path(__file__).parents[2] / "docs" / "numbers.md"
REFUTED, SAME, MISSED = "refuted", "no output differs", "missed"
SEEDS = 100  # runs of made-up inputs before those that jump
STEPS = 1_500_000  # of runs that jump
EFFORT = 20_000_000  # units of work to prove that outputs are equal
ANY = observer("any requirement is broken")


@frozen
class Moved:
    """A number, how it was moved, and what came of it."""

    number: Number
    move: str
    to: float
    fate: str = MISSED
    by: str = ""  # the requirement
    after_ms: int = 0


def moves(plan: Plan) -> Iterator[Moved]:
    """Every move of every number of a plan's controller."""
    for number in numbers(build(plan)):
        for move, to in number.moved(plan.scan.nominal_ms).items():
            yield Moved(number, move, to)


def fate(plan: Plan, one: Moved) -> Moved:
    """Refuted by a run that the interpreter replays; else shown to change no output; else missed.

    Short runs come first, which break most; then the proof, which is soon made where nothing changes; at last
    runs that jump through long stays.
    """
    right = build(plan)
    moved = with_moved(right, one.number, one.to)
    of = watched(plan, moved)
    broken = _replayed(of, _by_short_runs(of))
    if broken is None and _same(plan, right, moved):
        return evolve(one, fate=SAME)
    row, after_ms = broken or _replayed(of, _by_far_runs(of)) or (None, 0)
    return one if row is None else evolve(one, fate=REFUTED, by=row.name, after_ms=after_ms)


def _replayed(of: Watched, broken: Iterable[tuple[Required, Run]]) -> tuple[Required, int] | None:
    """The first of some violations that the interpreter sees, and when it is."""
    for row, run in broken:
        found = replay(cone(of.network, [row.bad]), run, row.bad)
        if found is not None:
            return row, found.at_ms
    return None


def _by_short_runs(of: Watched) -> Iterator[tuple[Required, Run]]:
    runs, names = rig(of.plan, of.network), [row.bad for row in of.required]
    for seed in range(SEEDS):
        run = stimuli(runs, seed)
        for row, scan in zip(of.required, runs.fast.first(run, names), strict=True):
            if scan >= 0:
                yield row, runs.fast.closed(run.part(0, scan + 1))


def _by_far_runs(of: Watched) -> Iterator[tuple[Required, Run]]:
    names = [row.bad for row in of.required]
    alarm = Assignment(ANY.name, Type.BOOL, any_of(Read(name, Type.BOOL) for name in names), False)
    network = evolve(of.network, assignments=(*of.network.assignments, alarm))
    part = cone(network, [ANY.name])
    single = model(part, of.plan.scan.longest_ms, single=True)
    way = far.far(rig(of.plan, part), single, ANY.name, power_cut=False, steps=STEPS)
    if way is not None:
        scans = rig(of.plan, of.network).fast.first(way, names)
        yield from ((row, way) for row, scan in zip(of.required, scans, strict=True) if scan >= 0)


def _same(plan: Plan, right: Network, moved: Network) -> bool:
    """Whether all outputs are proved equal for ever; no runs are made to tell them apart."""
    pair = Pair(plan, right, moved, plan.scan.longest_ms)
    equal = dict(by_wording(pair, Hands()))
    left = [name for name in pair.asked if name not in equal]
    equal |= by_correspondence(pair, left, Budget(EFFORT), Hands())
    return all(name in equal and equal[name][1] for name in pair.asked)


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
    counts = ", ".join(f"{sum(row.fate == word for row in rows)} {word}" for word in (REFUTED, SAME, MISSED))
    yield from (f"## {name}: {len(rows)} moves: {counts}", "")
    yield from (
        "| signal | number | is | moved | to | fate | by | after |",
        "|---|---|---|---|---|---|---|---|",
    )
    yield from (line(row) for row in rows)
    yield ""


def line(row: Moved) -> str:
    """One move."""
    of = row.number
    to = evolve(of, value=row.to).shown
    after = f"{row.after_ms / 1000:g} s" if row.fate == REFUTED else ""
    cells = of.signal, of.label or "borrowed", of.shown, row.move, to, row.fate, row.by, after
    return f"| {' | '.join(cells)} |"


def main() -> None:
    tables = []
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        for name in sys.argv[1:] or sorted(EXAMPLES):
            plan = read_file(EXAMPLES[name])
            rows = []
            for found in pool.map(fate, (plan for _ in moves(plan)), moves(plan)):
                rows.append(found)
                print(name, line(found), file=sys.stderr, flush=True)
            tables.append((name, rows))
    PAGE.write_text(page(tables), encoding="utf-8")


if __name__ == "__main__":
    main()
