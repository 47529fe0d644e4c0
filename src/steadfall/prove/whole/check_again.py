"""Stored proofs held against the plan as it is now: certificates by cvc5 alone, runs by running them again.

Rule of this file: what is asked about comes from the plan, never from the file: its requirements, their
sentences, its faults. The file only answers; the three questions of a certificate are written anew; what does
not pass is unknown. What else the file says must be what checking it again gives.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from attrs import evolve

from steadfall.prove.decide.abstraction import levels
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.certificate import Certificate
from steadfall.prove.decide.contradictions import contradictions
from steadfall.prove.decide.lemma_set import ByLemmas
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import (
    NOT_STORED,
    PROVED,
    REFUTED,
    UNKNOWN,
    VACUOUS,
    Contradiction,
    Proof,
    Verdict,
)
from steadfall.prove.decide.vacuity import with_notes
from steadfall.prove.decide.verdict import BY_A_RUN, NOT_CONFIRMED, check_again, not_passed, notes_of
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.solver.term_text import NotATermError
from steadfall.prove.whole.differences import counted, differences
from steadfall.prove.whole.lemmas_again import LemmasAgain, is_by_lemmas
from steadfall.prove.whole.run import asked_for, pick
from steadfall.prove.whole.runs_again import at_work, violated
from steadfall.prove.whole.shape import FILE, shown
from steadfall.source import OutsideError

NO_VIOLATION = "the stored run does not break it"
NO_WITNESS = "the stored run in which it applies cannot be made again"

Stored = Mapping[str, Any]


def recheck_stored(of: Watched, stored: Stored, only: Sequence[str] = ()) -> Proof:
    """Every certificate answered by cvc5, every run made again; what a stored proof lacks is unknown.

    Of a contradiction, and of a part that is vacuous, no certificate is stored: they are proved anew.
    `only`: the requirements that are looked at. The stored proof must have been looked at by `check_shape`.
    """
    begin, wanted, ask = time.monotonic(), pick(of, only), Ask()
    verdicts = rows_again(of, wanted, stored)
    against: tuple[Contradiction, ...] = ()
    stopped: bool = stored["stopped"]
    if not stopped and not of.faults.phrases:
        verdicts = with_notes(of, verdicts, ask, Hands())
        against = contradictions(of, verdicts, ask, Hands())
    names = [row.name for row in of.required]
    found = (
        *counted((row["name"] for row in stored["requirements"]), names, "requirements"),
        *sets_counted(of, stored),
        *said_otherwise(stored["requirements"], verdicts, notes=not stopped),
    )
    plan, seconds = of.plan, time.monotonic() - begin
    return Proof(
        plan.title,
        plan.digest,
        verdicts,
        seconds,
        of.faults.phrases,
        stopped,
        differences=found,
        contradictions=against,
        left_out=tuple(name for name in of.left_out if asked_for(name, only)),
    )


def rows_again(
    of: Watched, wanted: Sequence[Required], stored: Stored, under: str = ""
) -> tuple[Verdict, ...]:
    """The verdicts on what is wanted, from stored requirements and lemmas. `under`: the fault that they are
    about.
    """
    known: dict[str, Stored] = {row["name"]: row for row in reversed(stored["requirements"])}
    lemmas = LemmasAgain(of, stored, wanted, under)
    found = [_again(of, one, known[one.name], lemmas) for one in wanted if one.name in known]
    shown_at_work = at_work(of, found)
    made = {
        verdict.required.name: _shown(verdict, shown_at_work) if verdict.witness is not None else verdict
        for verdict in found
    }
    missing = (Verdict(one, UNKNOWN, notes=(NOT_STORED,)) for one in wanted if one.name not in known)
    made |= {verdict.required.name: verdict for verdict in missing}
    return tuple(made[one.name] for one in wanted)


def sets_counted(of: Watched, stored: Stored, under: str = "") -> Iterator[str]:
    """A sentence on lemmas that are stored twice, and on lemmas of nothing that there is."""
    place = f"with {under}: lemmas" if under else "lemmas"
    known = [*of.plan.circuits, *(row.name for row in of.required if not row.circuit)]
    return counted((row["name"] for row in stored["lemmas"]), known, place)


def said_otherwise(
    rows: Sequence[Stored], verdicts: Sequence[Verdict], *, notes: bool = True, under: str = ""
) -> Iterator[str]:
    """What the stored rows say otherwise than the verdicts that passed."""
    known = {row["name"]: row for row in reversed(rows)}
    for verdict in verdicts:
        row, made = known.get(verdict.required.name), verdict.as_json()
        if row is None or verdict.notes in _FAILED:
            continue
        made["rechecked"] = None if verdict.certificate is None else verdict.verdict != UNKNOWN
        if not notes:
            made["notes"] = row["notes"]
        place = f"with {under}: {verdict.required.name}" if under else verdict.required.name
        yield from differences(row, made, place)


_FAILED = tuple((note,) for note in (NOT_STORED, NO_VIOLATION, NO_WITNESS, NOT_CONFIRMED))


def _shown(verdict: Verdict, shown_at_work: frozenset[str]) -> Verdict:
    passed = verdict.required.name in shown_at_work
    return verdict if passed else not_passed(evolve(verdict, way=None, witness=None), NO_WITNESS)


def _again(of: Watched, one: Required, row: Stored, lemmas: LemmasAgain) -> Verdict:
    """One row as far as it passes; its witness is looked at later."""
    place = f"with {lemmas.under}: {one.name}" if lemmas.under else one.name
    verdict = Verdict(one, row["verdict"], row["engine"], row["seconds"], tuple(row["notes"]))
    verdict = evolve(verdict, witness=row["witness"])
    if row["certificate"] is not None:
        by = lemmas.certificate if is_by_lemmas(row["certificate"]) else partial(_certificate, of)
        verdict = evolve(verdict, certificate=by(one, row, place))
    if verdict.verdict in (PROVED, VACUOUS):
        return _confirmed(of, verdict, place, lemmas)
    if verdict.verdict == REFUTED:
        way = violated(of, one.bad, row["trace"])
        if way is None:
            return not_passed(evolve(verdict, certificate=None, witness=None), NO_VIOLATION)
        notes = tuple(note for note in verdict.notes if note == BY_A_RUN)
        return evolve(verdict, way=way, rechecked=True, certificate=None, notes=notes)
    return evolve(verdict, rechecked=None if verdict.certificate is None else False)


def _confirmed(of: Watched, verdict: Verdict, place: str, lemmas: LemmasAgain) -> Verdict:
    """The verdict with what cvc5 says of its certificate."""
    kept = verdict.certificate
    try:
        passed = (
            lemmas.passed(verdict.required, kept) if isinstance(kept, ByLemmas) else check_again(of, verdict)
        )
    except NotATermError as wrong:
        raise OutsideError(f"{FILE}: {place}: certificate: invariant: {wrong}") from None
    if not passed:
        return not_passed(evolve(verdict, witness=None), NOT_CONFIRMED)
    return evolve(verdict, rechecked=True, notes=notes_of(verdict))


def _certificate(of: Watched, one: Required, row: Stored, place: str) -> Certificate:
    """The stored certificate; what it sets free must be what some level of the plan sets free."""
    kept = row["certificate"]
    freed = tuple(kept["freed"])
    goal = one.exercised if row["verdict"] == VACUOUS else one.bad
    known = [level.freed for level in levels(of, one, goal)]
    if freed not in known:
        words = " or ".join(shown(list(one)) for one in known)
        raise OutsideError(f"{FILE}: {place}: certificate: freed: {shown(list(freed))}; expected {words}")
    return Certificate(kept["invariant"], freed)
