"""Work of the bench with a controller at a link, as it is done in a process beside the page.

Rule of this file: it listens unless somebody has typed that the field side is isolated, and confirmed a
number where numbers may be misread; both are asked again where it is done.
"""

from __future__ import annotations

from pathlib import Path

from attrs import asdict, field, frozen

from steadfall.app.page.sessions import has_report, report
from steadfall.app.plan import read_typed
from steadfall.extras import opened
from steadfall.progress import Progress
from steadfall.source import AskError
from steadfall.web.shown import Shown
from steadfall.web.tasks import shown_of
from steadfall.words import _

POWER = _("in this case somebody switches the controller off and on; hold it from a terminal")


@frozen
class Comes:
    """How one comes in over OPC UA: a user, and files; the password is in no text that is kept or shown."""

    user: str = ""
    password: str = field(default="", repr=False)
    certificate: Path | None = None
    key: Path | None = None
    server_certificate: Path | None = None


@frozen
class Bench:
    """What is held: where, which case ("": the strongest call), how long, and where the evidence goes."""

    link: str
    case: str
    lasting_s: float
    out: Path
    drive: bool = False
    confirmed: str = ""
    known: tuple[str, ...] = ()  # what somebody has confirmed of numbers
    comes: Comes = field(factory=Comes)


def held(text: str, name: str, asked: Bench, progress: Progress) -> Shown:
    """A session with a controller at a link."""
    plan, bench = read_typed(text, name).plan, opened("steadfall.app.bench")
    case = opened("steadfall.app.cases").named(plan, asked.case) if asked.case else None
    if case is not None and case.power_ms is not None and asked.drive:
        raise AskError(POWER)
    how = bench.How(lasting_s=asked.lasting_s, drive=asked.drive, out=asked.out, case=case)
    access = bench.Access(**asdict(asked.comes, recurse=False))
    people = bench.People(asked.confirmed, knows=lambda value: value in asked.known, access=access)
    return shown_of(bench.bench(plan, asked.link, how, people, progress), plan.digest)


def looked(text: str, name: str, at: tuple[str, Comes], progress: Progress) -> Shown:
    """Who is at a link, and how all stands there."""
    progress.tell(0.0, None, "looking")
    (link, comes), bench = at, opened("steadfall.app.bench")
    found = bench.look(read_typed(text, name).plan, link, bench.Access(**asdict(comes, recurse=False)))
    who = ", ".join(value for value in found.peer.values() if value)
    rows = [
        (signal, f"{value:g}" if isinstance(value, float) else str(value))
        for signal, value in found.values.items()
    ]
    return Shown("", "{}", "", verdict=who, table=rows, text="\n".join(found.known))


def kept(_text: str, _name: str, folder: Path, progress: Progress) -> Shown:
    """The report of a session that is over, as it was kept; one that was stopped before it was judged is
    judged now.
    """
    if not has_report(folder):
        opened("steadfall.app.bench").again(folder, progress=progress).write(folder)
    page, verdicts = report(folder)
    return Shown(page, verdicts, "")
