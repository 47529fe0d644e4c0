"""All that is proved of a plan: its requirements, whether they agree with each other, and what its faults
change.

Rule of this file: the order only; each part is a file of its own.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve

from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.progress import SILENT, Progress
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.contradictions import contradictions
from steadfall.prove.decide.processes import hands
from steadfall.prove.decide.result import Contradiction, Proof, UnderFault, Within
from steadfall.prove.decide.vacuity import with_notes
from steadfall.prove.requirements.whole import watched
from steadfall.prove.whole.each_fault import check_names, under_faults
from steadfall.prove.whole.run import WORKERS, Work, patience, stopping
from steadfall.prove.whole.within import hanging, ranges


def prove_whole(
    plan: Plan,
    only: Sequence[str] = (),
    ask: Ask | None = None,
    progress: Progress = SILENT,
    *,
    network: Network | None = None,
    workers: int = WORKERS,
    limit: float | None = None,
) -> Proof:
    """The verdicts without faults, the contradictions, and what each fault of the plan changes.

    `limit`: seconds after which what is not settled is left unknown.
    """
    waits, of = patience(progress, limit), watched(plan, network)
    check_names(of)
    work, under = Work(of, only, ask or Ask(), progress), list[UnderFault]()
    within: list[Within] = []
    against: tuple[Contradiction, ...] = ()
    with stopping(work), hands(work.many(workers, limit), waits) as own:
        work.decide(own)
        work.verdicts |= {
            row.required.name: row for row in with_notes(of, work.proof().verdicts, work.ask, own)
        }
        against = contradictions(of, work.proof().verdicts, work.ask, own)
        if network is None:
            within.extend(ranges(plan, hanging(plan, work.proof().verdicts), work.ask, own))
        under.extend(under_faults(plan, network, work, own))
    order = [row.name for row in work.chosen]
    within.sort(key=lambda row: order.index(row.name))  # they come as they are found
    return evolve(work.proof(), under=tuple(under), contradictions=against, within=tuple(within))
