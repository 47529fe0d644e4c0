"""Sessions of the bench beside a plan: where their evidence lies, and what they came to.

Rule of this file: all of it lies in one folder beside the plan; a name that leads elsewhere is refused.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from attrs import frozen

from steadfall.bench.link.file import is_address
from steadfall.bench.session.journal import CYCLES, HEAD
from steadfall.report.words.times import moment_of
from steadfall.source import AskError, OutsideError
from steadfall.words import _

FOLDER, PAGE, VERDICTS = "sessions", "session.html", "verdicts.json"
MOST_SHOWN = 50
CUT_OFF = _("it was cut off")


@frozen
class Evidence:
    """A session that is over: its folder's name, when it began, what was tried, where, and what is said."""

    name: str
    begun: str
    scenario: str
    link: str
    said: str


def link_place(folder: Path, text: str) -> str:
    """An address as it was typed, or a link file of this folder; raises AskError for any other place."""
    plain = text.strip()
    if is_address(plain):
        return plain
    path = folder / plain
    if not plain or Path(plain).name != plain or not path.resolve().is_relative_to(folder.resolve()):
        no_link = _(
            "'{typed}' is no controller; write an address such as '{like}', or a link file beside the plan"
        )
        raise AskError(no_link.format(typed=plain[:100], like="opc.tcp://192.168.0.20:4840/"))
    return str(path)


def key_place(folder: Path, text: str) -> Path | None:
    """A file of keys beside the plan, or in a folder there; None where none is named. May raise AskError."""
    plain = text.strip()
    if not plain:
        return None
    path = folder / plain
    if not path.resolve().is_relative_to(folder.resolve()) or not path.is_file():
        no_file = _("there is no file '{typed}' beside the plan")
        raise AskError(no_file.format(typed=plain[:100]))
    return path


def new_folder(folder: Path, what: str, now: datetime) -> Path:
    """Where the evidence of a session that begins now shall lie."""
    word = "".join(letter if letter.isalnum() else "-" for letter in what)[:60]
    return folder / FOLDER / f"{now:%Y-%m-%d-%H%M%S}-{word}"


def sessions(folder: Path) -> tuple[Evidence, ...]:
    """Those beside a plan, the last one first."""
    found = sorted((folder / FOLDER).glob(f"*/{HEAD}"), reverse=True)[:MOST_SHOWN]
    return tuple(one for path in found for one in _evidence(path.parent))


def _evidence(path: Path) -> Iterator[Evidence]:
    with suppress(OSError, ValueError, KeyError, TypeError):
        head = json.loads((path / HEAD).read_text(encoding="utf-8"))
        said = CUT_OFF
        with suppress(OSError):
            said = json.loads((path / VERDICTS).read_text(encoding="utf-8"))["conforms"]["said"]
        yield Evidence(
            path.name, moment_of(str(head["begun"])), str(head["scenario"]), str(head["link"]), str(said)
        )


def session_folder(folder: Path, name: str) -> Path:
    """The folder of a session by its name; raises AskError where there is none."""
    path = folder / FOLDER / name
    inside = Path(name).name == name and path.resolve().is_relative_to((folder / FOLDER).resolve())
    if not inside or not (path / CYCLES).is_file():
        raise AskError(_("there is no session '{name}' beside this plan").format(name=name[:100]))
    return path


def has_report(path: Path) -> bool:
    """Whether a session was judged."""
    return (path / PAGE).is_file()


def report(path: Path) -> tuple[str, str]:
    """The page of a session and its verdicts as they were kept; raises OutsideError without them."""
    try:
        page = (path / PAGE).read_text(encoding="utf-8")
        return page, (path / VERDICTS).read_text(encoding="utf-8")
    except OSError as error:
        said = _("{name} holds no report: {why}").format(name=path.name, why=error.strerror or error)
        raise OutsideError(said) from error
