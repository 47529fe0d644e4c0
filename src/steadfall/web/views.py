"""The views of the page: one row each. A view that is not finished has no row.

Rule of this file: name, place, what builds it, its JSON twin. The head of every page, the routes and the
documents are made of this table.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from attrs import frozen

from steadfall.app.given.document import document
from steadfall.app.page.desk import plans
from steadfall.web.frame import Link
from steadfall.web.session import Job, Session
from steadfall.web.view.begin import BeginView
from steadfall.web.view.bench import BenchView
from steadfall.web.view.code import CodeView
from steadfall.web.view.cooldown import CooldownView
from steadfall.web.view.doses import DosesView
from steadfall.web.view.plan import PlanView
from steadfall.web.view.proof import ProofView
from steadfall.web.view.sizes import SizesView
from steadfall.web.view.trying import TryView
from steadfall.web.view.upsets import UpsetsView
from steadfall.words import _


@frozen
class View:
    """A view: how it is named and where it lies, what builds it, what `/api` says in its place."""

    name: str
    link: Link
    build: Callable[[Session], object]
    twin: Callable[[Session], dict[str, Any] | str]


def _begin(session: Session) -> dict[str, Any]:
    own = None if session.desk is None else session.desk.path.name
    recent = [str(path) for path in session.recent.plans()]
    return document(None, True, {"open": own, "plans": list(plans(session.folder)), "recent": recent})


def _of(job: Job) -> dict[str, Any] | str:
    """What the command prints with `--json`; before there is any, how far the work is."""
    going = {"going": job.goes, "done": job.done, "of": job.of, "words": job.words, "failed": job.failed}
    return document(None, False, going) if job.shown is None else job.shown.twin


VIEWS: tuple[View, ...] = (
    View("begin", Link("/", _("Begin"), needs_plan=False), BeginView, _begin),
    View("plan", Link("/plan", _("Plan")), PlanView, lambda session: session.at_desk().as_json()),
    View("try", Link("/try", _("Try")), TryView, lambda session: session.live.as_json()),
    View("cooldown", Link("/cooldown", _("Cool-down")), CooldownView, lambda session: _of(session.cooldown)),
    View("doses", Link("/doses", _("Doses")), DosesView, lambda session: _of(session.doses)),
    View("sizes", Link("/sizes", _("Sizes")), SizesView, lambda session: _of(session.sizes)),
    View("upsets", Link("/upsets", _("Upsets")), UpsetsView, lambda session: _of(session.upsets)),
    View("proof", Link("/proof", _("Proof")), ProofView, lambda session: _of(session.proof)),
    View("bench", Link("/bench", _("Bench")), BenchView, lambda session: _of(session.bench)),
    View("code", Link("/code", _("Code")), CodeView, lambda session: _of(session.code)),
)
