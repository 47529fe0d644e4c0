"""Stored verdicts with the faults of the plan, held against the plan as it is now, by cvc5 alone.

Rule of this file: as in `prove.whole.check_again`. Where the proof without faults was found to hold with
power cuts too, cvc5 is asked for that again; for a fault of an input nothing is asked, since that proof
covers it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from attrs import evolve

from steadfall.logic.network import Network
from steadfall.plan.model import Fault, Plan
from steadfall.prove.decide.certificate import Certificate, script
from steadfall.prove.decide.result import PROVED, UNKNOWN, UnderFault, Verdict
from steadfall.prove.engines import recheck
from steadfall.prove.requirements.faults import together
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.system.cone import cone
from steadfall.prove.whole.check_again import recheck_stored
from steadfall.prove.whole.each_fault import cuts_alone, may_break

Stored = Mapping[str, Any]


def recheck_under(plan: Plan, network: Network | None, stored: Stored) -> tuple[UnderFault, ...]:
    """What was stored of each fault of the plan, checked again."""
    rows = {row["fault"]: row for row in stored.get("with_faults", ())}
    return tuple(
        _again(plan, network, fault, stored, rows[fault.phrase])
        for fault in plan.faults
        if fault.phrase in rows
    )


def _again(plan: Plan, network: Network | None, fault: Fault, stored: Stored, row: Stored) -> UnderFault:
    of = watched(plan, network, together(plan, [fault]))
    verdicts = recheck_stored(of, {"requirements": row["requirements"]}).verdicts
    names = [*row["kept"], *(one["name"] for one in row["requirements"])]
    found = UnderFault(
        fault.phrase,
        tuple(row["kept"]),
        verdicts,
        tuple(name for name in names if may_break(fault, name)),
        tuple(row["quiet"]),
        row["runs"],
        fault.at.of("fault"),
        row["seconds"],
    )
    if not of.faults.power_cut:
        return found
    lost = tuple(_lost(of, stored, frozenset(row["kept"])))
    gone = {verdict.required.name for verdict in lost}
    return evolve(
        found, kept=tuple(name for name in found.kept if name not in gone), verdicts=(*verdicts, *lost)
    )


def _lost(of: Watched, stored: Stored, kept: frozenset[str]) -> Iterable[Verdict]:
    """What was stored as kept by a power cut, and is not."""
    known = {one.name: one for one in of.required}
    for row in stored["requirements"]:
        if row["name"] in kept and not (row["verdict"] == PROVED and _kept(of, row)):
            note = "the stored proof does not hold with power cuts"
            yield Verdict(known[row["name"]], UNKNOWN, notes=(note,), rechecked=False)


def _kept(of: Watched, row: Stored) -> bool:
    stored = row["certificate"]
    certificate = Certificate(stored["invariant"], tuple(stored["freed"]), stored["steps"])
    bad = next(one.bad for one in of.required if one.name == row["name"])
    part = cuts_alone(of.model(cone(of.network, [bad], lambda name: name in stored["freed"])))
    return certificate.steps == 1 and recheck.holds(script(part, part.space.value(False), certificate))
