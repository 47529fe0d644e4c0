"""The proof of a plan in a terminal: the verdicts, strip and reasons of what is broken, the strip of what is
asked for.

Rule of this file: no line is wider than the terminal but one that cannot be broken.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from steadfall.plan.model import Plan
from steadfall.prove.decide.result import Proof
from steadfall.prove.explain.broken import Broken
from steadfall.prove.explain.reasons import sentences
from steadfall.prove.explain.violations import Violation
from steadfall.prove.explain.witness import Witnessed
from steadfall.quantities import clock
from steadfall.report.text.faults import fault_table
from steadfall.report.text.strips import Moment, strips_text
from steadfall.report.text.verdicts import conflicts, table, wrapped
from steadfall.why.words.wording import wording_of

MOST_STRIPS = 4  # of what is broken without faults, and of what is broken with them; the page has all
MOST_LINES = 8  # of the plan


def told(plan: Plan, proof: Proof, seen: Sequence[Violation], drawn: Iterable[Witnessed], width: int) -> str:
    """The table, the violations, the witnesses that were asked for, the table of faults and what they
    break.
    """
    alone = fault_table(proof, width)
    plain = _strips(plan, [(fault, one) for fault, one in seen if not fault], width)
    under = _strips(plan, [(fault, one) for fault, one in seen if fault], width)
    found = [witness_strip(plan, one, width) for one in drawn]
    against = [line for row in conflicts(proof.contradictions) for line in wrapped(row, width, "", 4)]
    within = [line for row in proof.within for line in wrapped(f"{row.sentence}.", width, "", 4)]
    verdicts = "\n".join([table(proof, width), *within, *against])
    return "\n\n".join([verdicts, *plain, *found, *([alone] if alone else []), *under])


def _strips(plan: Plan, seen: Sequence[Violation], width: int) -> Iterator[str]:
    for fault, one in seen[:MOST_STRIPS]:
        yield strip(plan, one, width, f"with {fault}, " if fault else "")
    if len(seen) > MOST_STRIPS:
        names = ", ".join(one.verdict.required.name for _, one in seen[MOST_STRIPS:])
        yield "\n".join(
            wrapped(f"not drawn here, but with --out DIR on its page, or with --only: {names}", width, "", 2)
        )


def strip(plan: Plan, seen: Broken, width: int, first: str = "") -> str:
    """A violation as a timing strip, what happens in it, why, and the lines of the plan that took part."""
    required = seen.verdict.required
    here = Moment(seen.at_ms, "here it is broken")
    rows = wrapped(f"{first}{required.name}: {required.sentence}", width, "", 2)
    rows.append(
        strips_text(
            seen.trace,
            seen.names,
            seen.window,
            width=width,
            moment=here,
            states=_states(plan),
            cuts=seen.cuts,
        )
    )
    rows.append("what happens:")
    for event in seen.events:
        rows += wrapped(event.text, width, f"  {clock(event.at_ms, fine=True)} ", 11)
    for line in sentences(seen.told):
        before = len(line) - len(line.lstrip())
        rows += wrapped(line.strip(), width, " " * before, before + 4)
    return "\n".join([*rows, *plan_lines(plan, seen.lines, width)])


def witness_strip(plan: Plan, one: Witnessed, width: int) -> str:
    """The run in which a proved requirement applies, as a timing strip."""
    required = one.verdict.required
    here = Moment(one.at_ms, "here it applies")
    rows = wrapped(f"{required.name}: {required.sentence}", width, "", 2)
    rows += wrapped("It is proved. A run in which it applies:", width)
    drawn = strips_text(one.trace, one.names, one.window, width=width, moment=here, states=_states(plan))
    return "\n".join([*rows, drawn])


def _states(plan: Plan) -> Mapping[str, Sequence[str]]:
    return {name: [word for word, _ in row] for name, row in wording_of(plan).states.items()}


def plan_lines(plan: Plan, lines: Sequence[int], width: int) -> Iterator[str]:
    """The lines of the plan that took part, as they are written; of many the first, the others by number."""
    text = plan.text.splitlines()
    yield "plan lines that took part:"
    for line in lines[:MOST_LINES]:
        said = text[line - 1].strip() if line <= len(text) else ""
        row = f"  {line}: {said}"
        yield row if len(row) <= width else f"{row[: width - 4]} ..."
    if len(lines) > MOST_LINES:
        yield f"  and {', '.join(str(line) for line in lines[MOST_LINES:])}"
