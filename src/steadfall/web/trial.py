"""What is tried by hand, as it lives in the process beside the page: begun once, then told what to do.

Rule of this file: it is done in another process, which holds one trial or replay at a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Protocol

from attrs import frozen

from steadfall.app.page.refuted import Refuted
from steadfall.app.plan import read_typed
from steadfall.extras import opened
from steadfall.progress import Progress
from steadfall.source import AskError
from steadfall.web.tasks import COLD, UNITS
from steadfall.words import _

if TYPE_CHECKING:
    from steadfall.app.why import Answer

NONE = _("nothing is under way; begin a trial")
Order = tuple[str | int, ...]  # what to do, and with what
Reason = tuple[int, str, int]  # how deep it stands, its words, its line of the plan


@frozen
class Begin:
    """From what a trial begins: a scenario (none: nobody calls), and in which units its curves are shown."""

    scenario: str = ""
    units: str = "metric"


class Played(Protocol):
    """A trial, or the run of a broken requirement."""

    def sheet(self) -> dict[str, Any]:
        """What does not change."""

    def news(self, *, anew: bool = False) -> dict[str, Any]:
        """What happened since it was last told."""

    def until(self, ms: int) -> None:
        """Go on to a moment."""

    def step(self) -> None:
        """One scan."""

    def back(self, ms: int) -> None:
        """Stand at a moment before."""

    def do(self, name: str, what: str, /) -> None:
        """Do something with an input."""

    def why(self, signal: str, at_ms: int) -> Answer:
        """Why a signal has its value."""

    def kept(self, text: str, file: str, name: str, /) -> str:
        """A text with what was done in it."""


_PLAYED: list[Played] = []  # one, or none


def begun(text: str, name: str, begin: Begin, progress: Progress) -> tuple[dict[str, Any], dict[str, Any]]:
    """Begin a trial, of a scenario where one is named: what it shows, and how it stands."""
    plan = read_typed(text, name).plan
    progress.tell(
        0.0, None, COLD if opened("steadfall.app.predict").cold() else _("laying out logic and plant")
    )
    return _laid(opened("steadfall.app.page.trial").Trying(plan, begin.scenario, UNITS[begin.units]))


def replayed(
    text: str, name: str, found: Refuted, progress: Progress
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Lay out the run of a broken requirement: what it shows, and how it stands."""
    progress.tell(0.0, None, _("laying out the run"))
    return _laid(opened("steadfall.app.page.replay").Replaying(read_typed(text, name).plan, found))


def _laid(made: Played) -> tuple[dict[str, Any], dict[str, Any]]:
    _PLAYED[:] = [made]
    return made.sheet(), made.news(anew=True)


def ordered(orders: Sequence[Order], anew: bool, progress: Progress) -> dict[str, Any]:
    """Do some things, one after the other: what happened."""
    progress.cancelled()
    played, ways = _played(), ("until", "step", "back", "do")
    for way, *given in orders:
        if way not in ways:
            raise AskError(f"'{way}' cannot be done")
        getattr(played, str(way))(*given)
    return played.news(anew=anew)


def asked(signal: str, at_ms: int, progress: Progress) -> tuple[Reason, ...]:
    """Why a signal has its value at a moment, line by line."""
    progress.cancelled()
    return tuple(opened("steadfall.app.page.trial").rows(_played().why(signal, at_ms)))


def kept(text: str, file: str, name: str, progress: Progress) -> str:
    """The text of a plan with what was pressed as a scenario in it."""
    progress.cancelled()
    return _played().kept(text, file, name)


def _played() -> Played:
    if not _PLAYED:
        raise AskError(NONE)
    return _PLAYED[0]
