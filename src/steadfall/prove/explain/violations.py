"""What of a proof is drawn: each requirement that is broken, without faults and with each fault of the
plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from steadfall.logic.network import Network
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import REFUTED, Proof, Verdict
from steadfall.prove.explain.broken import Broken, broken
from steadfall.prove.requirements.faults import together
from steadfall.prove.requirements.whole import Watched, watched

Violation = tuple[str, Broken]  # the fault of the plan, empty without one, and the violation


def violations(of: Watched, network: Network | None, proof: Proof, own: Hands) -> Iterator[Violation]:
    """How each refuted requirement is broken, and how each fault of the plan breaks what it must not."""
    yield from _drawn(of, "", [row for row in proof.verdicts if row.verdict == REFUTED], own)
    faults = {fault.phrase: fault for fault in of.plan.faults}
    for row in proof.under:
        bad = [one for one in row.broken if one.verdict == REFUTED and one.required.name not in row.allowed]
        if bad:
            yield from _drawn(
                watched(of.plan, network, together(of.plan, [faults[row.fault]])), row.fault, bad, own
            )


def _drawn(of: Watched, fault: str, rows: Iterable[Verdict], own: Hands) -> Iterator[Violation]:
    for row in rows:
        found = own.one(broken, of, row)
        if found is not None:
            yield fault, found
