"""All cases of a plan at a controller, one session after the other, and what they have tried together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from steadfall.app.bench import Benched, How
from steadfall.app.given.document import document
from steadfall.app.given.stored import is_stored, stored_violations
from steadfall.bench.cases.script import Case
from steadfall.bench.cases.violations import violation
from steadfall.bench.cases.whole import cases
from steadfall.bench.judge.finding import Finding, Said
from steadfall.bench.judge.whole import Judged
from steadfall.plan.model import Plan
from steadfall.source import AskError

Hold = Callable[[How], Benched]  # a session, as it is asked for


@frozen(eq=False)
class Tried:
    """Sessions, one a case; what no case can try; and what came of all of them together."""

    plan: Plan
    cases: tuple[Case, ...]
    sessions: tuple[Benched, ...]
    left_out: tuple[str, ...]

    @property
    def good(self) -> bool:
        """Whether every session is."""
        return all(one.good for one in self.sessions)

    @property
    def together(self) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
        """What is said of the requirements, and what was covered, by all sessions together."""
        return self.required, self.covered

    def rows(self) -> Iterator[tuple[Case, str, Judged]]:
        """Each case, how its session ended, and what is said of it."""
        for case, made in zip(self.cases, self.sessions, strict=True):
            yield case, made.recording.ended, made.judged

    @property
    def covered(self) -> tuple[Finding, ...]:
        """Stages, ways, calls, climbs, guards: what came in any session."""
        return together([one.judged.covered for one in self.sessions])

    @property
    def required(self) -> tuple[Finding, ...]:
        """The requirements: broken in one session is broken, exercised in one is exercised."""
        return together([one.judged.required for one in self.sessions])

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        rows = [
            {
                "name": case.name, "tries": case.tries, "line": case.line, "good": made.good,
                "ended": made.recording.ended, "conforms": made.judged.conforms.as_json(),
                "broken": [one.as_json() for one in made.judged.required if one.said is Said.FAIL],
                "folder": str(made.folder) if made.folder else None,
            }
            for case, made in zip(self.cases, self.sessions, strict=True)
        ]  # fmt: skip
        body = {
            "cases": rows, "left_out": list(self.left_out),
            "covered": [one.as_json() for one in self.covered],
            "required": [one.as_json() for one in self.required],
            "cautions": list(self.sessions[0].cautions) if self.sessions else [],
        }  # fmt: skip
        return document(self.plan, self.good, body)


def chosen(plan: Plan, word: str = "") -> tuple[tuple[Case, ...], tuple[str, ...]]:
    """The cases whose name holds a word, and what none can try. Raises AskError where there is none.

    `word` may be a folder in which a proof is stored: then what it has refuted.
    """
    if word and is_stored(Path(word)):
        return _refuted(plan, Path(word))
    found = cases(plan)
    some = tuple(one for one in found.cases if word in one.name)
    if not some:
        known = ", ".join(repr(one.name) for one in found.cases)
        raise AskError(f"no case has '{word}' in its name; there are {known}")
    return some, found.left_out


def _refuted(plan: Plan, folder: Path) -> tuple[tuple[Case, ...], tuple[str, ...]]:
    made = [violation(plan, one) for one in stored_violations(folder)]
    found = tuple(one for one in made if isinstance(one, Case))
    left_out = tuple(one for one in made if isinstance(one, str))
    if not found:
        raise AskError("\n".join([f"the proof in {folder} gives no case", *left_out]))
    return found, left_out


def named(plan: Plan, name: str) -> Case:
    """The case of that name. Raises AskError where there is none."""
    some, _ = chosen(plan, name)
    return next((one for one in some if one.name == name), some[0])


def try_cases(plan: Plan, word: str, how: How, hold: Hold) -> Tried:
    """Hold a session for each case that is `chosen`; evidence in a folder each. Ctrl-C ends it."""
    some, left_out = chosen(plan, word)
    sessions: list[Benched] = []
    for number, case in enumerate(some, 1):
        out = folder_of(how.out, number, case) if how.out else None
        made = hold(evolve(how, case=case, out=out))
        sessions.append(made)
        if made.stopped:
            break
    return Tried(plan, some[: len(sessions)], tuple(sessions), left_out)


def folder_of(out: Path, number: int, case: Case) -> Path:
    """Where the evidence of a case lies."""
    word = "".join(letter if letter.isalnum() else "-" for letter in case.name)
    return out / f"{number:02}-{word}"


def together(parts: Sequence[tuple[Finding, ...]]) -> tuple[Finding, ...]:
    """Findings on the same things from several sessions: broken once is broken, kept once is kept."""
    by: dict[str, list[Finding]] = {}
    for part in parts:
        for one in part:
            by.setdefault(one.about, []).append(one)
    return tuple(min(some, key=lambda one: ORDER.index(one.said)) for some in by.values())


ORDER = (Said.FAIL, Said.PASS, Said.NOT_JUDGED, Said.NOT_EXERCISED)
