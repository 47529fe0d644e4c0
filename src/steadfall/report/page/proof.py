"""The proof of a plan as one HTML file that needs nothing else, in the look of the prediction's report."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from attrs import frozen

from steadfall.plan.model import Plan
from steadfall.prove.decide.result import PROVED, REFUTED, UNKNOWN, VACUOUS, Proof, UnderFault, Verdict
from steadfall.prove.explain.violations import Violation
from steadfall.prove.explain.witness import Witnessed
from steadfall.quantities import clock
from steadfall.report.figure.figure import draw_figure
from steadfall.report.page.packed import packed
from steadfall.report.page.paper import filled, script_safe
from steadfall.report.page.proof_figure import strips_figure
from steadfall.report.text.faults import how
from steadfall.report.text.verdicts import conflict, few
from steadfall.report.words.cautions import CAUTIONS, TRUSTED_CAUTION
from steadfall.report.words.names import spoken
from steadfall.report.words.times import took

NAME, RUNS = "proof.html", "runs"
LONGEST = 20_000  # letters of an invariant that are printed; all of it is in proof.json
SAID = {PROVED: "proved", REFUTED: "broken", VACUOUS: "never has anything to say", UNKNOWN: "not known"}
ABOUT = (
    "What is proved",
    "It is proved of the control logic of this plan: not of the plant, the wiring, the instruments, or a "
    "controller "
    "that is programmed otherwise. What no requirement says is not proved.",
)


Under = tuple[UnderFault, int, str, list[tuple[str, str, bool, str]]]


@frozen
class Row:
    """A requirement as a row of the table, and what is folded away below it."""

    name: str
    sentence: str
    good: bool
    word: str
    engine: str
    seconds: str
    checked: str
    notes: tuple[str, ...]
    lines: tuple[int, ...]
    link: str  # to where its violation is drawn
    witness: str
    drawing: str  # of the witness
    certificate: str


def proof_page(
    plan: Plan,
    proof: Proof,
    seen: Sequence[Violation],
    witnesses: Mapping[str, Witnessed] | None = None,
    checked: str = "",
    dated: str = "",
) -> str:
    """The page as text; `seen` are the violations that are drawn, each with the fault that it came under.

    `witnesses` are runs of proved requirements, by name; `checked` is when the stored proof was checked
    again. Without a date there is room to write one.
    """
    figures = [
        strips_figure(
            plan, f"run-{number}", (one.trace, one.names, one.window), one.at_ms, "broken at", cuts=one.cuts
        )
        for number, (_, one) in enumerate(seen, 1)
    ]
    drawn = {
        name: _drawn(plan, number, one) for number, (name, one) in enumerate((witnesses or {}).items(), 1)
    }
    places = {
        (fault, one.verdict.required.name): f"broken-{number}" for number, (fault, one) in enumerate(seen, 1)
    }
    links = {name: place for (fault, name), place in places.items() if not fault}
    stated = [row for row in proof.verdicts if row.required.stated]
    content: Mapping[str, Any] = {
        "plan": plan,
        "proof": proof,
        "verdict": in_words(proof),
        "counts": counts(proof.verdicts),
        "checked": checked,
        "dated": dated,
        "stated": [row_of(verdict, links, drawn) for verdict in stated],
        "groups": list(_groups(proof, links, drawn)),
        "broken": [
            (f"broken-{number}", fault, one, figure.caption, draw_figure(figure))
            for number, ((fault, one), figure) in enumerate(zip(seen, figures, strict=True), 1)
        ],
        "conflicts": [(conflict(row), row, links.get(row.broken, "")) for row in proof.contradictions],
        "under": [_under(row, places) for row in proof.under],
        "cautions": (ABOUT, TRUSTED_CAUTION, *(row for row in CAUTIONS if row[0] != "Estimate")),
        "lines": plan.text.splitlines(),
        "clock": clock,
        "data": script_safe(packed(figures)),
    }
    return filled("proof.html.j2", content)


def _drawn(plan: Plan, number: int, one: Witnessed) -> str:
    """A witness as a small still figure."""
    shown = (one.trace, one.names, one.window)
    words = "applies at"
    return draw_figure(strips_figure(plan, f"witness-{number}", shown, one.at_ms, words, still=True))


def in_words(proof: Proof) -> str:
    """The whole in a sentence."""
    count = len(proof.verdicts)
    if proof.stopped:
        return f"Stopped before the end: {counts(proof.verdicts)}."
    if proof.differences:
        return f"The stored proof is not what checking it again gives. {_of(proof)}"
    if proof.left_out or not all(row.good for row in proof.verdicts):
        return _of(proof)
    if not proof.good:
        return f"All {count} requirements are proved, but not with every fault that the plan names."
    also = ", with each fault of the plan too" if proof.under else ""
    return (
        f"All {count} requirements are proved{also}." if count != 1 else f"The requirement is proved{also}."
    )


def _of(proof: Proof) -> str:
    every, left_out = len(proof.verdicts) + len(proof.left_out), ""
    if proof.left_out:
        names = few(proof.left_out)
        left_out = f", {len(proof.left_out)} left out, since the text does not have their signals ({names})"
    return f"Of {every} requirements: {counts(proof.verdicts)}{left_out}."


def counts(verdicts: Iterable[Verdict]) -> str:
    """How many are proved, how many not."""
    words = [row.verdict for row in verdicts]
    return ", ".join(f"{words.count(word)} {said}" for word, said in SAID.items() if word in words) or "none"


def row_of(verdict: Verdict, links: Mapping[str, str], drawn: Mapping[str, str]) -> Row:
    """A verdict as a row."""
    required, kept = verdict.required, verdict.certificate
    return Row(
        required.name,
        required.sentence,
        verdict.good,
        SAID[verdict.verdict],
        verdict.engine or "none",
        took(verdict.seconds),
        {True: "✓ by cvc5", False: "✕ FAILED", None: ""}[verdict.rechecked],
        verdict.notes,
        tuple(sorted({mark.line for mark in required.marks if mark.line})),
        links.get(required.name, ""),
        _witness(verdict),
        drawn.get(required.name, ""),
        "" if kept is None else kept.invariant[:LONGEST] + (" ..." if len(kept.invariant) > LONGEST else ""),
    )


def _witness(verdict: Verdict) -> str:
    """When it applied, in words."""
    if verdict.verdict != PROVED or not verdict.witness:
        return ""
    at, by = verdict.witness.get("at_ms"), str(verdict.witness.get("by", ""))
    when = "" if at is None else f" at {clock(int(at), fine=True)}"
    found = "made-up inputs" if by == RUNS else f"inputs that {by} found"
    return f"It applies{when} of a run with {found}."


def _groups(
    proof: Proof, links: Mapping[str, str], drawn: Mapping[str, str]
) -> Iterable[tuple[str, str, bool, list[Row]]]:
    """What follows from the plan, circuit by circuit: title, counts, whether all is well, rows."""
    found: dict[str, list[Verdict]] = {}
    for verdict in proof.verdicts:
        if not verdict.required.stated:
            found.setdefault(verdict.required.circuit, []).append(verdict)
    for circuit, rows in found.items():
        title = spoken(circuit) if circuit else "the whole plan"
        yield title, counts(rows), all(row.good for row in rows), [row_of(row, links, drawn) for row in rows]


def _under(row: UnderFault, links: Mapping[tuple[str, str], str]) -> Under:
    """A fault, how many requirements hold with it, how that is known, and those that do not."""
    broken = [
        (
            one.required.sentence,
            SAID[one.verdict],
            one.required.name in row.allowed,
            links.get((row.fault, one.required.name), ""),
        )
        for one in row.broken
    ]
    return row, len(row.kept) + len(row.verdicts) - len(broken), how(row), broken
