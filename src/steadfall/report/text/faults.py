"""What the faults of a plan change, in a terminal: a second table under that of the verdicts.

Rule of this file: words only.
"""

from __future__ import annotations

from collections.abc import Iterable

from steadfall.prove.decide.result import Proof, UnderFault
from steadfall.report.text.verdicts import MARKS, WIDE, wrapped
from steadfall.report.words.times import took

TITLE = "with this fault alone"


def fault_table(proof: Proof, width: int = WIDE) -> str:
    """A line for each fault of the plan, and below it what is not proved under it; nothing without faults."""
    if not proof.under:
        return ""
    wide = max([len(row.fault) for row in proof.under] + [len(TITLE)])
    rows = [f"{TITLE:<{wide}}  {'took':>7}  {'hold':>4}  {'not':>3}"]
    for row in proof.under:
        rows += _rows(row, wide, width)
    return "\n".join(rows)


def _rows(row: UnderFault, wide: int, width: int) -> Iterable[str]:
    broken = row.broken
    hold = len(row.kept) + len(row.verdicts) - len(broken)
    yield f"{row.fault:<{wide}}  {took(row.seconds):>7}  {hold:>4}  {len(broken):>3}"
    yield from wrapped(how(row), width, "  ", 2)
    for verdict in broken:
        allowed = " (the plan lets it break)" if verdict.required.name in row.allowed else ""
        said = f"{verdict.required.name}: {verdict.required.sentence}{allowed}"
        yield from wrapped(said, width, f"  {MARKS[verdict.verdict]:<8}", 10)
        for note in verdict.notes if not verdict.way else ():
            yield from wrapped(note, width, " " * 10, 10)


def how(row: UnderFault) -> str:
    """How what holds under a fault is known, and how much of it applies."""
    if not row.runs:
        anew = len(row.verdicts)
        return f"{len(row.kept)} hold by the same proof" + (f", {anew} were tried anew" if anew else "")
    words = "the same proofs: they leave this input free"
    count = len(row.quiet)
    if not count:
        return words
    return f"{words}; {count} requirement{'' if count == 1 else 's'} did not apply in {row.runs} runs with it"
