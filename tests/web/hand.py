"""What a person does with a view where there is no browser."""

from __future__ import annotations

import asyncio

from nicegui import ui
from nicegui.testing import User

from steadfall.web.session import Job

PATIENCE = 500  # turns, only of a test that fails


def editor(user: User) -> ui.codemirror:
    return next(iter(user.find(ui.codemirror).elements))


def write(user: User, text: str) -> None:
    """As if it was typed."""
    editor(user).set_value(text)


def pictures(user: User) -> list[ui.html]:
    """Piping and stages, as they stand on the page."""
    return sorted(user.find(ui.html).elements, key=lambda one: one.id)


def turn(element: ui.element, value: object) -> None:
    """As a browser says that a control has another value."""
    for listener in element._event_listeners.values():
        element._handle_event({"listener_id": listener.id, "args": value})


def choice_of(user: User, value: str) -> ui.element:
    """The choice that has an option of this value."""
    options = (one for one in user.find(kind=ui.element).elements if one.tag == "option")
    [option] = [one for one in options if one.props.get("value") == value]
    assert option.parent_slot is not None
    return option.parent_slot.parent


async def renewed(job: Job, number: int) -> None:
    """What is shown is a newer one than this."""
    for _ in range(PATIENCE):
        if job.number > number and not job.goes:
            return
        await asyncio.sleep(0.01)
    raise AssertionError(job.failed or "nothing newer was shown")


async def refused(job: Job) -> str:
    """The work has failed: what is said of it."""
    for _ in range(PATIENCE):
        if job.failed and not job.goes:
            return job.failed
        await asyncio.sleep(0.01)
    raise AssertionError("it has not failed")


async def finished(job: Job) -> None:
    """The work is done, or has failed."""
    for _ in range(PATIENCE):
        while job.goes:
            await asyncio.sleep(0.01)
        if job.shown is not None or job.failed:
            break
        await asyncio.sleep(0.01)
    assert job.shown is not None or job.failed, "it has not begun, or has ended without a word"
    assert job.failed == ""
