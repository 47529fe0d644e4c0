"""A table of single failures in the terminal: the verdict, every failure that does harm, then a count."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from steadfall.predict.outcome.result import Prediction
from steadfall.report.figure.sheets import stage_words
from steadfall.report.text.strips import strips_text
from steadfall.report.words.happened import watched
from steadfall.report.words.upset import Told, folded, heading, said
from steadfall.roles import command, stage
from steadfall.upset.outcome import Harm
from steadfall.upset.table import Table

NARROWEST, INDENT = 60, "    "
SHOWN = 40  # failures in full; the page and --json have all


def upset_text(found: Table, width: int = 100) -> str:
    """The whole table as text."""
    width = max(NARROWEST, width)
    rows = folded(found)
    harmful = [row for row in rows if row.row.harm is not Harm.NONE]
    blocks = [
        "\n".join(_wrapped(f"{'GOOD' if found.good else 'NOT GOOD'}. {heading(found)}", width)),
        *("\n".join(_block(one, width)) for one in harmful[:SHOWN]),
        *_more(rows, harmful, width),
        *("\n".join(_wrapped(words, width)) for words in said(found)),
    ]
    return "\n\n".join(blocks)


def _more(rows: Iterable[Told], harmful: list[Told], width: int) -> Iterator[str]:
    more = len(harmful) - SHOWN
    if more > 0:
        yield f"and {more} more; --out and --json have all of them"
    names = dict.fromkeys(one.row.failure.name for one in rows)
    calm = [name for name in names if name not in {one.row.failure.name for one in harmful}]
    if calm:
        yield "\n".join(_wrapped(f"Without harm whenever they begin: {', '.join(calm)}.", width))


def _block(one: Told, width: int) -> Iterator[str]:
    unseen = (", accepted" if one.row.accepted else ", UNSEEN") if one.row.unseen else ""
    head = f"{one.number:>3} {one.row.name}: {one.harm}{unseen}"
    yield from _wrapped(head, width, INDENT)
    lines = [
        f"{one.deviation}; {one.row.failure.cause}",
        one.consequence,
        f"noticed by: {one.noticed}; acted: {one.acted}",
        f"worst {one.pressure}, shock {one.shock}; at the end {one.temperature}, water {one.water}; "
        f"{one.grid} grid",
    ]
    if one.also:
        lines.append(f"also {', '.join(one.also)}")
    for line in lines:
        yield from textwrap.wrap(
            line, width, initial_indent=INDENT, subsequent_indent=f"{INDENT}  ", break_on_hyphens=False
        )


def _wrapped(words: str, width: int, later: str = "") -> list[str]:
    return textwrap.wrap(words, width, subsequent_indent=later, break_on_hyphens=False)


def run_strips(result: Prediction, width: int) -> str:
    """The strip of a run: stages, valves, and what the controller made of it."""
    plan = result.plan
    names: list[str] = []
    for circuit in plan.circuits:
        names.append(stage(circuit))
        names += [command(circuit, valve).name for valve in plan.type_of(circuit).valves]
    names += [one.name for one in watched(result)]
    states = {
        stage(circuit): [words for words, _, _ in stage_words(plan.type_of(circuit)).values()]
        for circuit in plan.circuits
    }
    known = [name for name in names if name in result.trace.tracks]
    return strips_text(result.trace, known, width=width, states=states)
