"""How hypothesis runs: no time limit for an example, since the machine may be busy; the same examples in
CI. And proofs that need no processes of their own.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from typing import Any

import pytest
from hypothesis import settings

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell starts what it puts into the background deaf to Ctrl-C, and so is every process begun from
    # there: tests that press it would wait for ever.
    signal.signal(signal.SIGINT, signal.default_int_handler)

# Folders whose tests run few kernels or none.
WITHOUT_KERNELS = ("lists", "logic", "plan", "prove", "st")

settings.register_profile("steadfall", deadline=None, derandomize="CI" in os.environ, print_blob=True)
settings.load_profile("steadfall")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that run no kernels come last: of two workers one begins with them, while the other compiles.

    Both would compile all kernels otherwise, at the same time, some fifty seconds each.
    """
    items.sort(key=lambda item: item.path.parent.name in WITHOUT_KERNELS)


class Here(Executor):
    """Does each job at once, in this process."""

    def submit(self, job: Callable[..., Any], /, *given: Any, **named: Any) -> Future[Any]:
        """What the job gave, or how it failed."""
        done: Future[Any] = Future()
        try:
            done.set_result(job(*given, **named))
        except Exception as failure:
            done.set_exception(failure)
        return done


@pytest.fixture(autouse=True, scope="session")
def nothing_kept() -> Iterator[None]:
    """No test finds what an earlier one has proved, or a run of the program on this machine."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("steadfall.store.users_store", lambda _name: None)
        yield


@contextmanager
def here(_many: int) -> Iterator[Here]:
    """Stands where a proof begins its processes."""
    yield Here()


@pytest.fixture
def proofs_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Proofs of a test that looks at what is proved, not at how: to begin two Pythons takes longer than most.

    That processes say the same is told by tests/prove/test_lemmas.py and test_budgets.py; Ctrl-C, a process
    that dies and the command as a person runs it are tested with real ones.
    """
    monkeypatch.setattr("steadfall.prove.decide.processes.workers", here)
