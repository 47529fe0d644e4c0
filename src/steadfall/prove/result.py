"""What the proof says: verdicts in plain data, to be shown, stored and read again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import evolve, field, frozen

from steadfall.logic.nodes import Value
from steadfall.prove.certificate import Certificate
from steadfall.prove.step import CUT
from steadfall.prove.watch import Required
from steadfall.source import Mark

PROVED, REFUTED, VACUOUS, UNKNOWN = "proved", "refuted", "vacuous", "unknown"


@frozen
class Way:
    """A run of scans to a moment: for each scan the time since the last one and the inputs that change."""

    scans: tuple[tuple[int, Mapping[str, Value]], ...]
    at_ms: int

    def as_json(self) -> dict[str, Any]:
        """In stable names; scans at which no input changes are counted, not listed."""
        rows: list[dict[str, Any]] = []
        now = 0
        for number, (dt, inputs) in enumerate(self.scans):
            now += dt if number else 0
            now += int(inputs.get(CUT, 0))
            if inputs or not rows or rows[-1]["scan_ms"] != dt:
                rows.append({"at_ms": now, "scan_ms": dt, "scans": 1, "inputs": dict(inputs)})
            else:
                rows[-1]["scans"] += 1
        return {"violated_at_ms": self.at_ms, "steps": rows}


def way_of(stored: Mapping[str, Any]) -> Way:
    """A run as it was stored."""
    scans: list[tuple[int, Mapping[str, Value]]] = []
    for row in stored["steps"]:
        scans.append((row["scan_ms"], row["inputs"]))
        scans += [(row["scan_ms"], {})] * (row["scans"] - 1)
    return Way(tuple(scans), stored["violated_at_ms"])


@frozen
class Verdict:
    """What is known of one requirement, for ever."""

    required: Required
    verdict: str
    engine: str = ""
    seconds: float = 0.0
    notes: tuple[str, ...] = ()
    certificate: Certificate | None = None
    way: Way | None = None  # of a refuted one
    witness: Mapping[str, Any] | None = None  # when it had something to say: seed or steps, and the moment
    rechecked: bool | None = None
    origins: tuple[Mark, ...] = ()  # the plan lines that took part in a violation

    @property
    def good(self) -> bool:
        """Whether nobody has to do anything."""
        return self.verdict == PROVED and self.rechecked is not False

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        marks = sorted({*self.required.marks, *self.origins})
        return {
            "name": self.required.name,
            "sentence": self.required.sentence,
            "stated": self.required.stated,
            "verdict": self.verdict,
            "engine": self.engine,
            "seconds": round(self.seconds, 3),
            "plan_lines": [{"file": mark.file, "line": mark.line, "column": mark.column} for mark in marks],
            "notes": list(self.notes),
            "rechecked": self.rechecked,
            "certificate": None
            if self.certificate is None
            else {
                "invariant": self.certificate.invariant,
                "freed": list(self.certificate.freed),
                "steps": self.certificate.steps,
            },
            "trace": None if self.way is None else self.way.as_json(),
            "witness": None if self.witness is None else dict(self.witness),
        }


@frozen
class Proof:
    """The verdicts on one plan, by its digest."""

    title: str
    digest: str
    verdicts: tuple[Verdict, ...]
    seconds: float
    faults: tuple[str, ...] = ()
    stopped: bool = False
    notes: tuple[str, ...] = field(default=())

    @property
    def good(self) -> bool:
        """Whether every requirement is proved."""
        return not self.stopped and all(verdict.good for verdict in self.verdicts)

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {
            "steadfall": 1,
            "plan": self.title,
            "digest": self.digest,
            "good": self.good,
            "stopped": self.stopped,
            "faults": list(self.faults),
            "seconds": round(self.seconds, 3),
            "notes": list(self.notes),
            "requirements": [verdict.as_json() for verdict in self.verdicts],
        }

    def with_verdicts(self, verdicts: tuple[Verdict, ...]) -> Proof:
        """The same with other verdicts."""
        return evolve(self, verdicts=verdicts)
