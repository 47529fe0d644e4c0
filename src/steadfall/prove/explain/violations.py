"""What of a proof is drawn: each requirement that is broken, without faults and with each fault of the
plan.
"""

from __future__ import annotations

from steadfall.logic.network import Network
from steadfall.prove.decide.result import REFUTED, Proof
from steadfall.prove.explain.broken import Broken, broken
from steadfall.prove.requirements.faults import together
from steadfall.prove.requirements.whole import Watched, watched

Violation = tuple[str, Broken]  # the fault of the plan, empty without one, and the violation


def violations(of: Watched, network: Network | None, proof: Proof) -> list[Violation]:
    """How each refuted requirement is broken, and how each fault of the plan breaks what it must not."""
    found = [("", broken(of, verdict)) for verdict in proof.verdicts if verdict.verdict == REFUTED]
    faults = {fault.phrase: fault for fault in of.plan.faults}
    for row in proof.under:
        bad = [one for one in row.broken if one.verdict == REFUTED and one.required.name not in row.allowed]
        with_fault = watched(of.plan, network, together(of.plan, [faults[row.fault]])) if bad else of
        found += [(row.fault, broken(with_fault, one)) for one in bad]
    return [(fault, one) for fault, one in found if one is not None]
