"""What the faults of a plan change, in a terminal: a second table under that of the verdicts.

Rule of this file: words only.
"""

from __future__ import annotations

from collections.abc import Iterable

from steadfall.prove.result import Proof, UnderFault
from steadfall.prove.show import MARKS


def fault_table(proof: Proof) -> str:
    """A line for each fault of the plan, and below it what is not proved under it; nothing without faults."""
    if not proof.under:
        return ""
    wide = max(len(row.fault) for row in proof.under)
    rows = [f"{'with this fault alone':<{max(wide, 21)}}  {'s':>5}  {'hold':>4}  {'not':>3}"]
    for row in proof.under:
        rows += _rows(row, max(wide, 21))
    return "\n".join(rows)


def _rows(row: UnderFault, wide: int) -> Iterable[str]:
    broken = row.broken
    hold = len(row.kept) + len(row.verdicts) - len(broken)
    yield f"{row.fault:<{wide}}  {row.seconds:>5.1f}  {hold:>4}  {len(broken):>3}  {_how(row)}"
    for verdict in broken:
        allowed = "; the plan lets it break" if verdict.required.name in row.allowed else ""
        yield f"  {MARKS[verdict.verdict]:<8}{verdict.required.name}: {verdict.required.sentence}{allowed}"
        yield from (f"{'':<10}{note}" for note in verdict.notes if not verdict.way)


def _how(row: UnderFault) -> str:
    if not row.runs:
        return f"{len(row.kept)} by the same proof, the others proved or refuted anew"
    words = "the proofs without faults leave this input free"
    return f"{words}; {len(row.quiet)} had nothing to say in {row.runs} runs" if row.quiet else words
