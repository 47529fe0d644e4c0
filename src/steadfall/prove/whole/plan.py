"""All that is proved of a plan: its requirements, whether they agree with each other, and what its faults
change.

Rule of this file: the order only; each part is a file of its own.
"""

from __future__ import annotations

import time
from collections.abc import Sequence

from attrs import evolve

from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.progress import SILENT, Cancelled, Progress
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.contradictions import contradictions
from steadfall.prove.decide.result import Proof, UnderFault
from steadfall.prove.decide.vacuity import with_notes
from steadfall.prove.requirements.whole import watched
from steadfall.prove.whole.each_fault import check_names, under_faults
from steadfall.prove.whole.run import WORKERS, prove


def prove_whole(
    plan: Plan,
    only: Sequence[str] = (),
    ask: Ask | None = None,
    progress: Progress = SILENT,
    *,
    network: Network | None = None,
    workers: int = WORKERS,
) -> Proof:
    """The verdicts without faults, the contradictions, and what each fault of the plan changes."""
    begin, how, of = time.monotonic(), ask or Ask(), watched(plan, network)
    check_names(of)
    proof = prove(plan, only, how, progress, network=network, workers=workers)
    under: list[UnderFault] = []
    stopped = proof.stopped
    try:
        if not stopped:
            proof = evolve(proof, verdicts=with_notes(of, proof.verdicts, how))
            proof = evolve(proof, contradictions=contradictions(of, proof.verdicts, how))
            under.extend(under_faults(plan, network, proof, (how, workers), progress))
    except (KeyboardInterrupt, Cancelled):
        stopped = True
    return evolve(proof, under=tuple(under), stopped=stopped, seconds=time.monotonic() - begin)
