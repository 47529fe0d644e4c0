# ruff: noqa: E501 - a page in one piece
"""What becomes of a seeded fault: refuted by a requirement, shown to change no output, or missed.

`python -m tests.prove.mutation` writes docs/mutants.md anew.
"""

from __future__ import annotations

import multiprocessing
import sys
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from attrs import frozen

from steadfall.logic.build.whole import build
from steadfall.logic.cone import cone
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.prove.compare.compare import How, compare
from steadfall.prove.compare.compared import EQUAL
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import REFUTED, VACUOUS
from steadfall.prove.decide.simulation import Simulated, simulate
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.system.replay import replay
from steadfall.runs.run import Run
from tests.prove.mutants import Mutant, mutants

ROOT = Path(__file__).parent.parent.parent
SEEDS = 200  # as many runs as the proof itself makes at most


@frozen
class Fate:
    """What became of a seeded fault."""

    mutant: Mutant
    fate: str  # "refuted", "vacuous", "equivalent" or "missed"
    by: tuple[str, ...] = ()
    after_ms: int = 0


def fate(plan: Plan, mutant: Mutant, doubtful: frozenset[str]) -> Fate:
    """Runs first, then proofs, then the comparison with the right network. `doubtful`: broken without any
    fault.
    """
    of = watched(plan, mutant.network)
    chosen = [row for row in of.required if row.name not in doubtful]
    seen = simulate(of, chosen, 30)
    shown = [(row, run) for row in chosen if (run := seen[row.name].violation) is not None]
    shown.sort(key=lambda pair: len(pair[1]))
    for row, run in shown:
        found = replay(cone(of.network, [row.bad]), run, row.bad)
        if found is not None:
            return Fate(mutant, "refuted", tuple(one.name for one, _ in shown), found.at_ms)
    if compare(plan, build(plan), mutant.network, How(360_000_000)).verdict == EQUAL:
        return Fate(mutant, "equivalent")
    for row, run in _long_runs(of, chosen):
        found = replay(cone(of.network, [row.bad]), run, row.bad)
        if found is not None:
            return Fate(mutant, "refuted", (row.name,), found.at_ms)
    return _by_proof(of, mutant, chosen, seen)


def _long_runs(of: Watched, chosen: list[Required]) -> Iterable[tuple[Required, Run]]:
    """Every violation that the runs after the first ones show."""
    one, names = rig(of.plan, of.network), [row.bad for row in chosen]
    for seed in range(SEEDS):
        run = stimuli(one, seed)
        for row, scan in zip(chosen, one.fast.first(run, names), strict=True):
            if scan >= 0:
                yield row, one.fast.closed(run.part(0, scan + 1))


def _by_proof(of: Watched, mutant: Mutant, chosen: list[Required], seen: dict[str, Simulated]) -> Fate:
    never: list[str] = []
    for row in chosen:
        verdict = decide(of, row, Ask(recheck=False), seen[row.name])
        if verdict.verdict == REFUTED and verdict.way:
            return Fate(mutant, "refuted", (row.name,), verdict.way.end_ms)
        never += [row.name] if verdict.verdict == VACUOUS else []
    return Fate(mutant, "vacuous", tuple(never)) if never else Fate(mutant, "missed")


def table(fates: Iterable[Fate]) -> str:
    """The fates as a page."""
    rows = list(fates)
    words = ("refuted", "vacuous", "equivalent", "missed")
    counts = {word: sum(row.fate == word for row in rows) for word in words}
    return "\n".join(
        [
            "# Seeded faults",
            "",
            "Written by `python -m tests.prove.mutation` from `tests/prove/mutants.py`: the press of `examples/press.yaml`, each",
            "time with one thing wrong, in the plan or in the network that is built from it. The requirements are those of",
            "the right plan. *Refuted*: the interpreter has run a violation. *Vacuous*: a requirement can no longer be",
            "exercised. *Equivalent*: the outputs are proved equal to those of the right plan. *Missed*: none of these.",
            "",
            f"{len(rows)} faults: {', '.join(f'{number} {word}' for word, number in counts.items())}.",
            "",
            "| fault | in | fate | by | after |",
            "|---|---|---|---|---|",
            *(_row(row) for row in rows),
            "",
        ]
    )


def _row(row: Fate) -> str:
    by = ", ".join(row.by[:2]) + (f" and {len(row.by) - 2} more" if len(row.by) > 2 else "")
    after = f"{row.after_ms / 1000:g} s" if row.fate == "refuted" else ""
    return f"| {row.mutant.name} | {row.mutant.where} | {row.fate} | {by} | {after} |"


def doubtful(plan: Plan) -> frozenset[str]:
    """The requirements that the right plan breaks too, as its runs show; they count for no fault."""
    of = watched(plan)
    one, names = rig(plan, of.network), [row.bad for row in of.required]
    broken: set[str] = set()
    for seed in range(SEEDS):
        found = one.fast.first(stimuli(one, seed), names)
        broken |= {row.name for row, scan in zip(of.required, found, strict=True) if scan >= 0}
    return frozenset(broken)


def main() -> None:
    text = (ROOT / "examples" / "press.yaml").read_text(encoding="utf-8")
    plan = read_text(text, "press.yaml")
    broken, every = doubtful(plan), mutants(text)
    fates = []
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        for found in pool.map(fate, [plan] * len(every), every, [broken] * len(every)):
            fates.append(found)
            print(found.fate, found.mutant.name, found.by[:3], file=sys.stderr, flush=True)
    (ROOT / "docs" / "mutants.md").write_text(table(fates), encoding="utf-8")


if __name__ == "__main__":
    main()
