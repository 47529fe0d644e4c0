"""What the proof says: verdicts in plain data, to be shown, stored and read again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from attrs import field, frozen

from steadfall.plan.model import Setting
from steadfall.plan.text.lay_out import time
from steadfall.prove import trusted
from steadfall.prove.decide.certificate import Certificate
from steadfall.prove.decide.lemma_set import ByLemmas, LemmaSet
from steadfall.prove.requirements.watch import Required
from steadfall.runs.json import steps_json
from steadfall.runs.run import Run
from steadfall.source import NOWHERE, Mark
from steadfall.units import shown

PROVED, REFUTED, VACUOUS, UNKNOWN = "proved", "refuted", "vacuous", "unknown"
NOT_TRIED = "stopped before it was tried"  # a note
AT_THE_LIMIT = "stopped at the limit"  # another
NOT_STORED = "the stored proof says nothing of it"  # another
ITS_VIOLATION = "its violation"  # by which a refuted requirement is shown at work


def run_json(run: Run, moment: str = "violated_at_ms") -> dict[str, Any]:
    """A run to a moment, in stable names. `moment`: what its end is called."""
    return {moment: run.end_ms, "steps": steps_json(run)}


@frozen
class Verdict:
    """What is known of one requirement, for ever."""

    required: Required
    verdict: str
    engine: str = ""
    seconds: float = 0.0
    notes: tuple[str, ...] = ()
    certificate: Certificate | ByLemmas | None = None
    way: Run | None = None  # of a refuted one
    witness: Mapping[str, Any] | None = None  # when it applied: seed or steps, and the moment
    rechecked: bool | None = None
    origins: tuple[Mark, ...] = ()  # the plan lines that took part in a violation

    @property
    def good(self) -> bool:
        """Whether there is nothing left to do."""
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
            "certificate": None if self.certificate is None else self.certificate.as_json(),
            "trace": None if self.way is None else run_json(self.way),
            "witness": None if self.witness is None else dict(self.witness),
        }


@frozen
class UnderFault:
    """What one fault of the plan, alone, changes in the verdicts on what is proved without it."""

    fault: str
    kept: tuple[str, ...]  # whose proof without the fault covers the fault too
    verdicts: tuple[Verdict, ...] = ()  # decided anew
    allowed: tuple[str, ...] = ()  # what the plan lets break under it
    quiet: tuple[str, ...] = ()  # what had nothing to say in any run under it
    runs: int = 0
    mark: Mark = NOWHERE
    seconds: float = 0.0
    sentences: tuple[str, ...] = ()  # of what is kept, as it holds with the fault

    @property
    def broken(self) -> tuple[Verdict, ...]:
        """What is not proved under it."""
        return tuple(verdict for verdict in self.verdicts if not verdict.good)

    @property
    def good(self) -> bool:
        """Whether nothing breaks under it but what the plan lets break."""
        return all(verdict.required.name in self.allowed for verdict in self.broken)

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {
            "fault": self.fault,
            "plan_line": {"file": self.mark.file, "line": self.mark.line, "column": self.mark.column},
            "good": self.good,
            "kept": list(self.kept),
            "sentences": list(self.sentences),
            "broken": [verdict.required.name for verdict in self.broken],
            "may_break": list(self.allowed),
            "quiet": list(self.quiet),
            "runs": self.runs,
            "seconds": round(self.seconds, 3),
            "requirements": [verdict.as_json() for verdict in self.verdicts],
            "lemmas": [kept.as_json() for kept in lemma_sets(self.verdicts)],
        }


def lemma_sets(verdicts: Iterable[Verdict]) -> list[LemmaSet]:
    """The lemmas that verdicts lean on, each set once."""
    kept = (row.certificate for row in verdicts)
    return list(dict.fromkeys(one.of for one in kept if isinstance(one, ByLemmas)))


@frozen
class Contradiction:
    """Stated requirements (two, or one with itself) that no controller can keep once something is so."""

    requirements: tuple[Required, ...]
    once: str
    broken: str  # the one that this plan breaks; its trace shows how

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        marks = [row.marks[0] for row in self.requirements]
        return {
            "requirements": [row.name for row in self.requirements],
            "sentences": [row.sentence for row in self.requirements],
            "plan_lines": [{"file": mark.file, "line": mark.line, "column": mark.column} for mark in marks],
            "once": self.once,
            "broken": self.broken,
        }


@frozen
class Within:
    """Where a refuted requirement holds: while one setting stays within a range, or only at the defaults of
    all, or not there either.
    """

    name: str  # of the requirement
    setting: Setting | None = None
    low: float = 0.0  # SI
    high: float = 0.0
    at_defaults: bool = field(default=False, kw_only=True)

    @property
    def sentence(self) -> str:
        """It in words."""
        one = self.setting
        if one is None:
            if not self.at_defaults:
                return f"{self.name} does not hold with the settings at their defaults either"
            return f"{self.name} holds with the settings at their defaults; none of them alone makes it hold"
        low, high = (level(end, one) for end in (self.low, self.high))
        return f"{self.name} holds with {one.name} from {low} to {high}, whatever else is set"

    def as_json(self) -> dict[str, Any]:
        """In stable names; ends in SI."""
        return {
            "name": self.name,
            "setting": None if self.setting is None else self.setting.name,
            "low": None if self.setting is None else self.low,
            "high": None if self.setting is None else self.high,
            "at_defaults": self.at_defaults,
            "sentence": self.sentence,
        }


def level(value: float, of: Setting) -> str:
    """A value of a setting in words."""
    return time(round(value * 1000)) if of.is_time else shown(value, of.dimension, 6, of.unit)


@frozen
class Proof:
    """The verdicts on one plan, by its digest."""

    title: str
    digest: str
    verdicts: tuple[Verdict, ...]
    seconds: float
    faults: tuple[str, ...] = ()
    stopped: bool = False  # before all was tried
    interrupted: bool = False  # by a person, and not at a limit
    notes: tuple[str, ...] = field(default=())
    differences: tuple[str, ...] = ()  # of a stored proof from what checking it again gives
    under: tuple[UnderFault, ...] = ()  # with each fault of the plan alone
    contradictions: tuple[Contradiction, ...] = ()
    within: tuple[Within, ...] = ()  # where refuted requirements hold that hang on settings
    left_out: tuple[str, ...] = ()  # asked for, of signals that the controller's text does not have

    @property
    def good(self) -> bool:
        """Whether every requirement that was asked for is proved, without faults and with those of the
        plan.
        """
        return (
            not self.stopped
            and not self.differences
            and not self.left_out
            and all(row.good for row in self.verdicts)
            and all(row.good for row in self.under)
        )

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {
            "good": self.good,
            "stopped": self.stopped,
            "faults": list(self.faults),
            "seconds": round(self.seconds, 3),
            "notes": list(self.notes),
            "trusted": trusted.as_json(),
            "differences": list(self.differences),
            "requirements": [verdict.as_json() for verdict in self.verdicts],
            "lemmas": [kept.as_json() for kept in lemma_sets(self.verdicts)],
            "contradictions": [row.as_json() for row in self.contradictions],
            "within": [row.as_json() for row in self.within],
            "with_faults": [row.as_json() for row in self.under],
        }
