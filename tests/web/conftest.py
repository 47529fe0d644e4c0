"""A session on a copy of a plan, and a person at the page without a browser.

Rule of this file: nothing is begun in another process and nothing is kept on this machine: work is done at
once, where it stands.
"""

from __future__ import annotations

import gc
import shutil
from collections.abc import AsyncIterator, Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import pytest_asyncio
from nicegui.client import Client
from nicegui.testing import User
from nicegui.testing.user_simulation import user_simulation

from steadfall.progress import Progress
from steadfall.web.pages import lay
from steadfall.web.session import Recent, Session
from steadfall.web.work import Told
from tests.examples import EXAMPLES, ROOT
from tests.web.serving import Served, warm


class Here:
    """Does the work at once, and notes what it was asked for."""

    def __init__(self) -> None:
        self.asked: list[tuple[Any, ...]] = []

    async def do(self, work: Callable[..., Any], *given: Any, told: Told | None = None) -> Any:
        """What the work gives."""
        self.asked.append((work.__name__, *given[2:]))
        if told:
            told(0.5, 1.0, "half of it")
        return work(*given, Progress())

    async def stop(self) -> None:
        """Nothing goes on."""

    def ask(self) -> None:
        """Nothing goes on."""

    def end(self) -> None:
        """There is no process."""


@pytest.fixture(scope="package")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A server of its own, for all who ask over the network."""
    with warm(tmp_path_factory.mktemp("page")) as made:
        yield made


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """A copy of a small plan in a folder of its own."""
    return Path(shutil.copy(ROOT / "tests/plans/good/small.yaml", tmp_path / "small.yaml"))


@pytest.fixture
def pressed(session: Session) -> Session:
    """The press on the desk, for what the small plan does not have."""
    session.open(Path(shutil.copy(EXAMPLES["press"], session.folder / "press.yaml")))
    return session


@pytest.fixture
def session(plan: Path) -> Session:
    """The small plan on the desk."""
    made = Session(plan.parent, recent=Recent(None))
    for job in made.jobs:
        job.worker = Here()
    made.live.worker = Here()
    made.open(plan)
    return made


@pytest_asyncio.fixture
async def user(session: Session) -> AsyncIterator[User]:
    """A person at the page."""
    async with user_simulation() as person:
        lay(session)
        yield person
        Client.page_routes.clear()  # or the package would be taken out of `sys.modules`
    gc.freeze()  # the simulation counts all that lives, before and after: what is there now, no more
