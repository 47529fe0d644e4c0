"""Why a signal has its value at a moment, back to the inputs."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from attrs import field, frozen

from steadfall.app.given.document import document
from steadfall.app.given.stored import belongs
from steadfall.app.given.traces import read_trace, stored_run, stored_runs
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.plan.meaning.handed import handed_by
from steadfall.plan.model import Plan
from steadfall.predict.history import recorded_inputs
from steadfall.progress import SILENT, Progress
from steadfall.prove.explain.reasons import since_power_up
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.whole import watched
from steadfall.prove.whole.runs_again import possible
from steadfall.prove.whole.shape import check_shape
from steadfall.quantities import moment
from steadfall.runs.json import from_json
from steadfall.source import AskError, OutsideError
from steadfall.why.explain import Explanation, explain, unknown
from steadfall.why.scans.history import History
from steadfall.why.scans.recorded import recorded
from steadfall.why.words.wording import wording_of

OTHER = "belongs to another plan, or to another revision of this one"


@frozen
class How:
    """Which signal, when (None: where a stored proof breaks), and in which run."""

    signal: str
    at_ms: int | None = None
    scenario: str | None = None
    trace: Path | None = None
    only: str | None = None  # of a stored proof: the requirement


@frozen(eq=False)
class Answer:
    """Why a signal has its value; `remarks` say what had to be assumed."""

    plan: Plan
    explanation: Explanation
    remarks: tuple[str, ...] = ()

    def sentences(self) -> list[str]:
        """The answer, a line each."""
        return self.explanation.sentences()

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return document(self.plan, True, {**self.explanation.as_json(), "remarks": list(self.remarks)})


@frozen(eq=False)
class _Run:
    """The run that was asked about, its scan, and what had to be assumed of it."""

    history: History
    at_ms: int
    remarks: tuple[str, ...] = field(default=())


def why(plan: Plan, how: How, progress: Progress = SILENT) -> Answer:
    """Say why a signal has its value, and what would make it otherwise.

    Without a trace the plan is predicted up to the moment, and the logic replayed from what the controller
    saw. Raises AskError, PlanError, OutsideError.
    """
    if how.trace is not None and how.scenario is not None:
        raise AskError("--scenario and --trace exclude each other")
    proof = stored_runs(how.trace) if how.trace is not None else None
    if how.only is not None and proof is None:
        raise AskError("--only goes with --trace DIR/proof.json, the stored proof of this plan")
    if how.at_ms is None and proof is None:
        raise AskError("--at TIME says at which moment, such as --at 12.34s")
    network = build(plan)
    if how.signal not in network.types:
        raise AskError(unknown(network, how.signal))
    if how.trace is not None:
        run = _of_proof(plan, network, how, proof) if proof else _traced(plan, network, how)
    else:
        run = _predicted(plan, network, how, progress)
    answer = explain(network, run.history, how.signal, run.history.scan_at(run.at_ms), wording_of(plan))
    return Answer(plan, answer, run.remarks)


def _of_proof(plan: Plan, network: Network, how: How, proof: Mapping[str, Any]) -> _Run:
    """The run of a stored violation, and the moment: the one that was asked for, or that of the violation."""
    file = how.trace or Path()
    if not belongs(proof, plan):
        raise OutsideError(f"{file} {OTHER}")
    check_shape(proof)
    trace = stored_run(file, proof, how.only)
    if not possible(watched(plan, None, read_faults(plan, proof["faults"])), trace["steps"]):
        raise OutsideError(f"{file}: the stored run is none of this plan: its inputs or scans cannot be so")
    way = from_json(trace["steps"])
    _within(how.at_ms or 0, way.end_ms, str(file))
    since = since_power_up(way)
    at = way.end_ms if how.at_ms is None else how.at_ms
    if at < since.begin_ms:
        raise AskError(f"--at: power comes back at {moment(since.begin_ms)}; what was before is not told")
    return _Run(History(network, since), at)


def _predicted(plan: Plan, network: Network, how: How, progress: Progress) -> _Run:
    at_ms = how.at_ms or 0
    history = History(network, recorded_inputs(plan, how.scenario, at_ms, progress=progress))
    _within(at_ms, int(history.times_ms[-1]) + plan.scan.longest_ms, "the run")
    return _Run(history, at_ms)


def _traced(plan: Plan, network: Network, how: How) -> _Run:
    file, at_ms = how.trace or Path(), how.at_ms or 0
    read = read_trace(file, network)
    if read.digest and read.digest != plan.digest:
        raise OutsideError(f"{file} {OTHER}")
    _within(at_ms, read.trace.end_ms, str(file))
    handed = {name: handed_by(item).of for name, item in plan.inputs.items() if not item.is_digital}
    found = recorded(network, read.trace, read.scans_ms, plan.scan.nominal_ms, handed)
    remarks = []
    if found.missing:
        remarks.append(f"not in {file}, taken as off or 0: {', '.join(found.missing)}")
    if found.mended:
        remarks.append(f"measured values are samples; in {found.mended} scans the neighbouring one was taken")
    if found.parted_ms is not None and found.parted_ms <= at_ms:
        raise OutsideError(
            f"replayed, {file} differs from its record at {moment(found.parted_ms)} "
            f"({found.parted_at}): what was measured is in it as samples only, or it is not of this plan; "
            "nothing can be explained after that"
        )
    return _Run(found.history, at_ms, tuple(remarks))


def _within(at_ms: int, end_ms: int, what: str) -> None:
    if at_ms > end_ms:
        raise AskError(f"--at: {what} ends at {moment(end_ms)}")
