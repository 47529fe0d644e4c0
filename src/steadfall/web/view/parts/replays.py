"""Beside a proof: a way into the run of each broken requirement, to be gone through scan by scan."""

from __future__ import annotations

from functools import partial

from nicegui import ui

from steadfall.app.page.desk import digest
from steadfall.app.page.refuted import Refuted
from steadfall.web.frame import box, button, words
from steadfall.web.session import Session
from steadfall.words import _


def replays(session: Session) -> None:
    """A line for each, above the paper."""
    shown = session.proof.shown
    if shown is None or not shown.refuted:
        return
    with box("section", "refuted sheet") as made:
        words("h2", _("Broken; go through it scan by scan"))
        with box("ul"):
            for one in shown.refuted:
                with box("li"):
                    button(_("Replay"), partial(_replay, session, one))
                    words("span", f"{one.sentence}{f' ({one.fault})' if one.fault else ''}")
    made.move(target_index=0)


async def _replay(session: Session, one: Refuted) -> None:
    """Lay it out, and go there."""
    desk = session.at_desk()
    ui.navigate.to("/try")
    await session.live.begin(desk.text, str(desk.path), digest(desk.text), one)
