"""Stored proofs held against the plan as it is now, by cvc5 alone.

Rule of this file: the stored verdicts are of this plan, as the caller has seen; the three questions are
written anew from its network and the stored invariant; a violation is run again by the interpreter.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from typing import Any

from attrs import evolve

from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.certificate import Certificate
from steadfall.prove.decide.contradictions import contradictions
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import REFUTED, UNKNOWN, Proof, Verdict
from steadfall.prove.decide.verdict import check_again
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.solver.term_text import NotATermError
from steadfall.prove.system.cone import cone
from steadfall.prove.system.replay import replay
from steadfall.runs.json import from_json
from steadfall.source import OutsideError

FILE = "proof.json"
NOTHING_STORED = "nothing is stored that could be checked again"


def recheck_stored(of: Watched, stored: Mapping[str, Any]) -> Proof:
    """Every stored certificate answered by cvc5, every stored violation run again.

    Of a contradiction no certificate is stored; where one is, it is proved anew.
    """
    begin, rows = time.monotonic(), {row["name"]: row for row in stored["requirements"]}
    verdicts = tuple(_again(of, rows))
    against = contradictions(of, verdicts, Ask(), Hands()) if stored.get("contradictions") else ()
    return Proof(
        of.plan.title,
        of.plan.digest,
        verdicts,
        time.monotonic() - begin,
        tuple(stored.get("faults", ())),
        bool(stored.get("stopped")),
        contradictions=against,
    )


def _again(of: Watched, rows: dict[str, Any]) -> Iterable[Verdict]:
    for one in of.required:
        row = rows.get(one.name)
        if row is None:
            continue
        notes = tuple(row["notes"])
        verdict = Verdict(one, row["verdict"], row["engine"], row["seconds"], notes, witness=row["witness"])
        if row["certificate"]:
            kept = row["certificate"]
            certificate = Certificate(kept["invariant"], tuple(kept["freed"]), kept["steps"])
            verdict = evolve(verdict, certificate=certificate)
            try:
                yield evolve(verdict, rechecked=check_again(of, verdict))
            except NotATermError as wrong:
                raise OutsideError(f"{FILE}: {one.name}: certificate: invariant: {wrong}") from None
        elif row["verdict"] == REFUTED and row["trace"]:
            way = from_json(row["trace"]["steps"])
            seen = replay(cone(of.network, [one.bad]), way, one.bad)
            yield evolve(verdict, way=way, rechecked=seen is not None)
        else:
            yield evolve(verdict, verdict=UNKNOWN, notes=notes or (NOTHING_STORED,))
