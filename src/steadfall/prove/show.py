"""Verdicts in a terminal: the table, and a timing strip of each violation.

Rule of this file: words only; what is drawn comes from `report` through the command.
"""

from __future__ import annotations

from collections.abc import Iterable

from steadfall.prove.result import PROVED, REFUTED, UNKNOWN, VACUOUS, Proof, Verdict

MARKS = {PROVED: "proved ", REFUTED: "REFUTED", VACUOUS: "VACUOUS", UNKNOWN: "unknown"}


def table(proof: Proof) -> str:
    """A line for each requirement: verdict, seconds, engine, sentence."""
    rows = [f"{'verdict':<8}{'s':>6}  {'engine':<16}{'checked':<9}requirement"]
    rows += [_row(verdict) for verdict in proof.verdicts]
    return "\n".join([*rows, "", *summary(proof)])


def _row(verdict: Verdict) -> str:
    checked = {True: "cvc5", False: "FAILED", None: "-"}[verdict.rechecked]
    head = f"{MARKS[verdict.verdict]:<8}{verdict.seconds:>6.2f}  {verdict.engine or '-':<16}{checked:<9}"
    rows = [f"{head}{verdict.required.sentence}"]
    if verdict.verdict != PROVED:
        rows += [f"{'':<41}{verdict.required.name}: {note}" for note in verdict.notes or ("see below",)]
    return "\n".join(rows)


def summary(proof: Proof) -> Iterable[str]:
    """How many of each, in one line, and of which plan."""
    counts = {word: sum(verdict.verdict == word for verdict in proof.verdicts) for word in MARKS}
    words = ", ".join(f"{number} {word}" for word, number in counts.items() if number)
    yield f"{len(proof.verdicts)} requirements: {words}; {proof.seconds:.1f} s; plan {proof.digest[:12]}"
    checked = [verdict.rechecked for verdict in proof.verdicts if verdict.certificate]
    if checked and all(checked):
        yield f"every one of {len(checked)} certificates was checked again by cvc5"
    if proof.faults:
        yield f"with these faults: {', '.join(proof.faults)}"
    if proof.stopped:
        yield "stopped before the end"


def shown(verdict: Verdict) -> tuple[str, ...]:
    """The signals that a strip shows: inputs that change, then what the sentence names."""
    times: dict[str, int] = {}
    for _, inputs in verdict.way.scans if verdict.way else ():
        for name in inputs:
            times[name] = times.get(name, 0) + 1
    moved = [name for name, count in times.items() if count > 1 and ":" not in name]
    return tuple(dict.fromkeys([*(moved or list(times)[:8]), *verdict.required.shown]))
