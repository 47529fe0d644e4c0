"""How a requirement is broken, scan by scan: the run that a proof found, played as it was found."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import Any

from steadfall.app.given.document import document
from steadfall.app.page.lanes import lanes
from steadfall.app.page.refuted import Refuted
from steadfall.app.page.trial import explained
from steadfall.app.prove import Proved
from steadfall.app.why import Answer
from steadfall.plan.model import Plan
from steadfall.prove.decide.result import REFUTED, Verdict
from steadfall.prove.explain.events import cuts
from steadfall.prove.explain.reasons import since_power_up
from steadfall.prove.explain.stretch import near, shown
from steadfall.prove.explain.trace import run_of
from steadfall.prove.requirements.faults import read_faults
from steadfall.prove.requirements.whole import watched
from steadfall.quantities import moment
from steadfall.runs.json import from_json, steps_json
from steadfall.source import AskError
from steadfall.why.scans.history import History
from steadfall.words import _

AS_FOUND = _("this is the run that a proof found, as it was found; begin a trial to press and set")
OTHER = _("the plan was changed since: prove it again")
BREAKS = _("here it is broken")


def refuted(proved: Proved) -> tuple[Refuted, ...]:
    """Every one that a proof has found, those without a fault first."""
    return tuple(
        Refuted(one.verdict.required.name, one.verdict.required.sentence, fault, steps_json(one.verdict.way))
        for fault, one in proved.violations
        if one.verdict.way is not None
    )


class Replaying:
    """Such a run, as far as it is shown; it begins shortly before the end, and ends where it is broken."""

    def __init__(self, plan: Plan, found: Refuted) -> None:
        of = watched(plan, None, read_faults(plan, [found.fault] if found.fault else []))
        required = next((one for one in of.required if one.name == found.name), None)
        if required is None:
            raise AskError(OTHER)
        verdict = Verdict(required, REFUTED, way=from_json(found.steps))
        seen = run_of(of, verdict)
        if seen is None:
            raise AskError(OTHER)
        names = [name for name in shown(verdict) if name in seen.trace.tracks]
        self.plan, self.found, self._of = plan, found, of
        self.run, self.trace = seen.run, seen.trace
        self.scans_ms = self.run.times_ms.tolist()
        self.lanes = lanes(plan, of.network, seen.trace.tracks)
        self._cuts = cuts(self.run)
        self._changes = sorted(
            (ms, k, float(to)) for k, one in enumerate(self.lanes) for ms, to in seen.trace.changes(one.name)
        )
        self._told = 0
        self._begins_ms = int(near(seen.trace, names)[1][0])
        self._at = max(0, bisect_right(self.scans_ms, self._begins_ms) - 1)

    def sheet(self) -> dict[str, Any]:
        """What does not change: rows, the moments without power, where it ends, and why."""
        body = {
            "title": f"{self.found.sentence}{f' ({self.found.fault})' if self.found.fault else ''}",
            "scan_ms": self.plan.scan.nominal_ms,
            "lanes": [one.as_json() for one in self.lanes],
            "curves": [],
            "controls": [],
            "cuts": [list(one) for one in self._cuts],
            "begin_ms": self._begins_ms,
            "end_ms": self.run.end_ms,
        }
        return document(self.plan, False, body)

    def news(self, *, anew: bool = False) -> dict[str, Any]:
        """What happened since it was last told; `anew`: from the start on."""
        now = self.scans_ms[self._at]
        until, begin = bisect_left(self._changes, (now + 1,)), 0 if anew else self._told
        self._told = until
        return {
            "now_ms": now,
            "over": BREAKS if self._at == len(self.scans_ms) - 1 else "",
            "changes": [list(one) for one in self._changes[begin:until]],
            "samples": [],
            "values": [],
            "shown": {},
            "held": {},
        }

    def until(self, ms: int) -> None:
        """Go on to the last scan up to a moment."""
        self._at = max(self._at, bisect_right(self.scans_ms, ms) - 1)

    def step(self) -> None:
        """One scan."""
        self._at = min(self._at + 1, len(self.scans_ms) - 1)

    def back(self, ms: int) -> None:
        """Stand at a moment before."""
        self._at = min(self._at, max(0, bisect_right(self.scans_ms, ms) - 1))

    def do(self, *_: str) -> None:
        """Nothing can be done here."""
        raise AskError(AS_FOUND)

    def why(self, signal: str, at_ms: int) -> Answer:
        """Why a signal has its value at a moment; what was before the last power cut is not told."""
        since = since_power_up(self.run)
        if at_ms < since.begin_ms:
            before = _("power comes back at {moment}; what was before is not told")
            raise AskError(before.format(moment=moment(since.begin_ms)))
        return explained(self.plan, History(self._of.network, since), signal, at_ms)

    def kept(self, *_: str) -> str:
        """It is no scenario: its scans come at times of its own."""
        raise AskError(AS_FOUND)
