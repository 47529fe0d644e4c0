"""Verdicts in a terminal: the table, and a timing strip of each violation.

Rule of this file: words only; what is drawn comes from `report` through the command.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence

from steadfall.prove.decide.result import (
    NOT_STORED,
    NOT_TRIED,
    PROVED,
    REFUTED,
    UNKNOWN,
    VACUOUS,
    Contradiction,
    Proof,
    Verdict,
)
from steadfall.prove.trusted import in_short
from steadfall.report.words.times import took

MOST_NAMES, MOST_DIFFERENCES = 4, 20  # of many
WIDE, NARROWEST = 100, 24  # letters of a line; of a sentence beside what stands before it
STAYS = "\u00a0"  # a space at which no line ends
MARKS = {PROVED: "proved", REFUTED: "REFUTED", VACUOUS: "VACUOUS", UNKNOWN: "unknown"}


def table(proof: Proof, width: int = WIDE) -> str:
    """A line for each requirement: verdict, time, engine where there is room, who checked it, sentence."""
    tried = [row for row in proof.verdicts if not {NOT_TRIED, NOT_STORED} & set(row.notes)]
    missing = [row.required.name for row in proof.verdicts if NOT_STORED in row.notes]
    engine = max([len(row.engine) for row in tried] + [len("engine")]) if width >= WIDE else 0
    head = f"{'verdict':<9}{'took':>7}  {_padded('engine', engine)}{'checked':<7}  "
    rows = [f"{head}requirement"]
    for title, stated in (("what the plan requires:", True), ("what follows from any plan:", False)):
        own = [row for row in tried if row.required.stated is stated]
        rows += [title, *(line for row in own for line in _row(row, engine, width))] if own else []
    if left := len(proof.verdicts) - len(tried) - len(missing):
        rows.append(f"{left} more were not tried")
    if missing:
        words = f"{len(missing)} more are not in the stored proof (--only NAME checks others alone)"
        rows += wrapped(f"{words}: {few(missing)}", width, "", 2)
    ends = (*summary(proof), in_short())
    return "\n".join([*rows, "", *(line for row in ends for line in wrapped(row, width, "", 2))])


def _row(verdict: Verdict, engine: int, width: int) -> Iterable[str]:
    checked = {True: "cvc5", False: "FAILED", None: "-"}[verdict.rechecked]
    head = (
        f"{MARKS[verdict.verdict]:<9}{took(verdict.seconds):>7}  "
        f"{_padded(verdict.engine or '-', engine)}{checked:<7}  "
    )
    yield from wrapped(verdict.required.sentence, width, head, len(head))
    if verdict.verdict != PROVED:
        for note in verdict.notes or ("see below",):
            yield from wrapped(f"{verdict.required.name}: {note}", width, " " * len(head), len(head))


def _padded(word: str, width: int) -> str:
    """A word of a column; nothing where there is no room for the column."""
    return f"{word:<{width}}  " if width else ""


def wrapped(text: str, width: int, first: str = "", indent: int = 0) -> list[str]:
    """A sentence in lines of at most so many letters; `first` stands before the first, so many spaces before
    others.

    A number stays with its unit.
    """
    rows = textwrap.wrap(
        re.sub(r"(?<=\d) (?=[A-Za-z%])", STAYS, text),
        max(width, indent + NARROWEST),
        initial_indent=first,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [row.replace(STAYS, " ") for row in rows]


def summary(proof: Proof) -> Iterable[str]:
    """How many of each, in one line, and of which plan."""
    counts = {word: sum(verdict.verdict == word for verdict in proof.verdicts) for word in MARKS}
    counts["left out"] = len(proof.left_out)
    words = ", ".join(f"{number} {word}" for word, number in counts.items() if number)
    count = sum(counts.values())
    yield (
        f"{count} requirement{'' if count == 1 else 's'}: {words}; {took(proof.seconds)}; plan "
        f"{proof.digest[:12]}"
    )
    if proof.left_out:
        yield f"left out, since the text does not have their signals: {few(proof.left_out)}"
    checked = [verdict.rechecked for verdict in proof.verdicts if verdict.certificate]
    if checked and all(checked):
        yield (
            f"every one of {len(checked)} certificates was checked again by cvc5"
            if len(checked) > 1
            else ("its certificate was checked again by cvc5")
        )
    elif checked.count(False):
        yield (
            f"{checked.count(False)} of {len(checked)} certificates did not pass when cvc5 checked them again"
        )
    if proof.faults:
        yield f"with these faults: {', '.join(proof.faults)}"
    if proof.differences:
        yield "what is stored is not what checking it again gives:"
        yield from (f"  {row}" for row in proof.differences[:MOST_DIFFERENCES])
    if (more := len(proof.differences) - MOST_DIFFERENCES) > 0:
        yield f"  and {more} more"
    if proof.stopped:
        yield "stopped before the end: what was not tried may hold or not, with faults or without"


def few(names: Sequence[str]) -> str:
    """Some names; of many the first."""
    more = len(names) - MOST_NAMES
    first = ", ".join(names[:MOST_NAMES])
    return f"{first} and {more} more" if more > 0 else first


def conflicts(found: Iterable[Contradiction]) -> Iterable[str]:
    """Each contradiction in words, with the places."""
    for row in found:
        yield conflict(row)
        for one in row.requirements:
            yield f"  {one.marks[0]}: {one.sentence}"
        yield f"  the plan breaks {row.broken}; its strip shows how"


def conflict(row: Contradiction) -> str:
    """A contradiction in a sentence."""
    once = f" once {row.once}" if row.once else ""
    if len(row.requirements) == 1:
        return f"{row.requirements[0].name} contradicts itself: no controller can keep it{once}"
    names = " and ".join(one.name for one in row.requirements)
    return f"{names} contradict each other: no controller can keep both{once}"
