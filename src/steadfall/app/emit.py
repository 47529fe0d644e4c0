"""The program for the controller and the lists that go with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from steadfall.app.given import files
from steadfall.app.given.document import document
from steadfall.extras import opened
from steadfall.lists.papers import papers
from steadfall.lists.verdicts import Proof, Requirement, warning
from steadfall.logic.build.recorder import Extra
from steadfall.plan.model import Plan
from steadfall.progress import SILENT, Progress
from steadfall.source import AskError
from steadfall.st.write.origins import Origins, origins


@frozen(eq=False)
class Emitted:
    """Files by their names, the program first, and where they were written."""

    plan: Plan
    files: Mapping[str, bytes]
    warning: str = ""  # what is not proved; "" where all is
    written: tuple[Path, ...] = ()

    @property
    def text(self) -> str:
        """The program."""
        return self.files["controller.st"].decode("utf-8")

    @property
    def origins(self) -> Origins:
        """For each line of the program the lines of the plan that it came from."""
        return origins(self.text, self.plan.at.own.file)

    def write(self, folder: str | Path) -> Emitted:
        """Write every file into a folder; raises OutsideError where that cannot be."""
        return evolve(self, written=files.write(self.files, Path(folder)))

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        body: dict[str, Any] = {"files": list(self.files), "written": [str(path) for path in self.written]}
        body["warning"] = self.warning
        return document(self.plan, True, body)


def emit(
    plan: Plan,
    proof: Path | None = None,
    progress: Progress = SILENT,
    extras: frozenset[Extra] = frozenset(),
) -> Emitted:
    """The program and its lists; the same plan gives the same bytes. `proof` is the folder in which a proof
    of this very plan was stored: its verdicts go into the description. `extras`: what the program carries
    besides, for a bench.

    Raises OutsideError where there is none.
    """
    known = None if proof is None else _stored(plan, proof)
    progress.step(0, None, "writing the program and its lists")
    return Emitted(plan, papers(plan, known, extras), warning(known))


def extras_of(words: Iterable[str]) -> frozenset[Extra]:
    """What a program may carry besides, by its words. Raises AskError where there is no such thing."""
    asked = frozenset(words)
    unknown = sorted(asked - set(Extra))
    if unknown:
        raise AskError(f"a program can carry {' and '.join(Extra)} besides, not '{unknown[0]}'")
    return frozenset(Extra(word) for word in asked)


def _stored(plan: Plan, folder: Path) -> Proof:
    rows = opened("steadfall.app.given.stored").read_stored(folder, plan, None)["requirements"]
    return tuple(Requirement(row["sentence"], row["verdict"]) for row in rows)
