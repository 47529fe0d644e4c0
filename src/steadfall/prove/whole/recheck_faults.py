"""Stored verdicts with the faults of the plan, held against the plan as it is now.

Rule of this file: as in `prove.whole.check_again`. With a fault of an input nothing is asked, since the proof
without it covers it; the runs with it are made again. Of a certificate that is stored as kept by power cuts
cvc5 is asked that again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from attrs import evolve

from steadfall.logic.network import Network
from steadfall.plan.model import Fault, Plan
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.lemma_set import ByLemmas
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import PROVED, UNKNOWN, Proof, UnderFault, Verdict
from steadfall.prove.requirements.faults import together
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.whole.check_again import rows_again, said_otherwise, sets_counted
from steadfall.prove.whole.cuts import by_certificate, confirms, kept_by_cuts
from steadfall.prove.whole.differences import counted, differences
from steadfall.prove.whole.each_fault import may_break, narrowed, with_sentences

NOT_KEPT = "the stored proof does not hold with power cuts"
NAMES = ("kept", "broken", "may_break", "quiet")  # keys whose texts are names of requirements

Stored = Mapping[str, Any]


def recheck_under(plan: Plan, network: Network | None, stored: Stored, proof: Proof) -> Proof:
    """A proof that was checked again, with what was stored of each fault of the plan."""
    phrases = [fault.phrase for fault in plan.faults]
    rows = {row["fault"]: row for row in reversed(stored["with_faults"])}
    found = list(counted((row["fault"] for row in stored["with_faults"]), phrases, "with_faults"))
    proved = [row for row in proof.verdicts if row.verdict == PROVED and row.certificate]
    under = []
    for fault in plan.faults:
        row = rows.get(fault.phrase)
        if row is None:
            found += [] if proof.stopped else [f"with_faults: nothing is stored of {fault.phrase!r}"]
            continue
        again, amiss = _again(watched(plan, network, together(plan, [fault])), fault, row, proved)
        under.append(again)
        found += amiss
    return evolve(proof, under=tuple(under), differences=(*proof.differences, *found))


def _again(
    of: Watched, fault: Fault, row: Stored, proved: Sequence[Verdict]
) -> tuple[UnderFault, Sequence[str]]:
    """What is so with a fault, and what the stored row says otherwise."""
    names = [verdict.required.name for verdict in proved]
    made = _with_cuts(of, row, proved) if of.faults.power_cut else narrowed(of, proved, Hands())
    allowed = tuple(name for name in names if may_break(fault, name))
    made = evolve(made, allowed=allowed, mark=fault.at.of("fault"), seconds=row["seconds"])
    made = with_sentences(made, of)
    place = f"with {fault.phrase}"
    known = [one.name for one in of.required]
    asked = {**row, **{key: [name for name in row[key] if _is_about(name, names, known)] for key in NAMES}}
    head, own = ({**one, "requirements": None, "lemmas": None} for one in (asked, made.as_json()))
    rows = [one for one in row["requirements"] if _is_about(one["name"], names, known)]
    settled = [one["name"] for one in rows]
    return made, (
        *counted([*asked["kept"], *settled], names, place),
        *sets_counted(of, row, fault.phrase),
        *differences(head, own, place),
        *said_otherwise(rows, made.verdicts, under=fault.phrase),
    )


def _is_about(name: str, asked: Sequence[str], known: Sequence[str]) -> bool:
    """Whether a stored name counts: one that is asked about, or that there is not."""
    return name in asked or name not in known


def _with_cuts(of: Watched, row: Stored, proved: Sequence[Verdict]) -> UnderFault:
    """What power cuts keep by the proof without them, and what was tried anew."""
    given = frozenset(row["kept"])
    kept = [verdict for verdict in proved if verdict.required.name in given]
    lost = {verdict.required.name: verdict for verdict in _lost(of, kept)}
    wanted = [verdict.required.name for verdict in proved if verdict.required.name not in given]
    required = [one for one in of.required if one.name in wanted]
    anew_rows = rows_again(of, required, row, row["fault"])
    anew = {one.required.name: one for one in anew_rows}
    names = [verdict.required.name for verdict in proved]
    return UnderFault(
        of.faults.phrases[0],
        tuple(name for name in names if name in given and name not in lost),
        tuple((anew | lost)[name] for name in names if name in anew or name in lost),
    )


def _lost(of: Watched, kept: Sequence[Verdict]) -> Iterator[Verdict]:
    """What is stored as kept by power cuts, and is not."""
    known = {one.name: one for one in of.required}
    good = {name for given in by_certificate(kept, Ask()) for name in _still(of, given[0])}
    for verdict in kept:
        if verdict.required.name not in good:
            one = known[verdict.required.name]
            yield Verdict(one, UNKNOWN, notes=(NOT_KEPT,), rechecked=False)


def _still(of: Watched, rows: Sequence[Verdict]) -> Iterator[str]:
    """The names of those whose certificate a cut keeps, as cvc5 says."""
    if isinstance(rows[0].certificate, ByLemmas):
        yield from kept_by_cuts(of, (rows, Ask()))
    else:
        yield from (row.required.name for row in rows if confirms(of, row))
