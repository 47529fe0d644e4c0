"""A comparison in the terminal: verdict, circuits, what the plans say differently, the earliest difference as
strips.

Rule of this file: no line is wider than 100 letters but one that cannot be broken.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from steadfall.plan.revise.changes import Change
from steadfall.predict.outcome.effect import Effect
from steadfall.prove.compare.apart import Apart, Side
from steadfall.prove.compare.compared import SECOND, Comparison
from steadfall.prove.explain.reasons import sentences
from steadfall.prove.trusted import in_short
from steadfall.report.text.strips import Moment, strips_text
from steadfall.report.words import comparison as say
from steadfall.report.words.effect import HEAD, effect_rows
from steadfall.report.words.times import took

WIDE = 100  # letters


def told(
    found: Comparison, sides: tuple[Side, Side], changed: Sequence[Change] | None, shown: Sequence[Apart]
) -> str:
    """The whole comparison."""
    titles = sides[0].title, sides[1].title
    rows = [say.verdict(found), *(f"  {line}" for line in say.circuits(found))]
    if known := list(say.stages(found)):
        rows += ["stages, by their names:", *(f"  {line}" for line in known)]
    rows += [line for note in say.notes(found, titles) for line in _wrapped(note, "- ", 2)]
    rows += ["", *_changes(changed, titles, renamed=bool(found.names.rows))] if changed is not None else []
    for one in shown[:1]:
        rows += ["", *_parting(one, sides)]
    about = (say.about(found), say.engine_note(found.valves), f"Took {took(found.seconds)}.", in_short())
    rows += ["", *_wrapped(" ".join(filter(None, about)))]
    return "\n".join(rows)


def effect_text(effects: Sequence[Effect], titles: say.Titles) -> str:
    """What the revision does to the plant, as a table."""
    rows = effect_rows(effects, titles)
    widths = [max(len(row[place]) for row in rows) for place in range(4)]
    lines = []
    for what, *figures in rows:
        cells = "  ".join(f"{one:>{width}}" for one, width in zip(figures, widths[1:], strict=True))
        lines.append(f"  {what:<{widths[0]}}  {cells}".rstrip())
    return "\n".join([*_wrapped(HEAD), *lines])


def _changes(changed: Sequence[Change], titles: say.Titles, *, renamed: bool) -> Iterator[str]:
    if not changed:
        yield "but for names, the plans say the same" if renamed else "the plans say the same"
        return
    for head, of_controller in (
        ("for the controller", True),
        ("for the plant and what is asked of it", False),
    ):
        rows = [row for row in changed if row.of_controller is of_controller]
        if rows:
            yield f"what the plans say differently, {head}:"
        for row in rows:
            yield from _wrapped(row.where, "  ", 4)
            for title, said in zip(titles, (row.first, row.second), strict=True):
                yield from _wrapped(f"{title}: {said or '(nothing)'}", "    ", 6)


def _parting(one: Apart, sides: tuple[Side, Side]) -> Iterator[str]:
    """The strips up to where they differ, each output above that of the second; what each side does then, and
    why.
    """
    yield from _wrapped(
        f"the earliest difference: {', '.join(one.outputs)}; {SECOND.strip()} is {sides[1].title}"
    )
    here = Moment(one.parting.at_ms, "here they differ")
    yield strips_text(one.trace, one.names, one.window, width=WIDE, moment=here, states=one.states)
    for side, rows in zip(sides, one.told, strict=True):
        yield f"in {side.title}:"
        for line in sentences(rows, side.title):
            before = len(line) - len(line.lstrip())
            yield from _wrapped(line.strip(), " " * (2 + before), 6 + before)


def _wrapped(text: str, first: str = "", indent: int = 0) -> list[str]:
    return textwrap.wrap(
        text,
        WIDE,
        initial_indent=first,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
