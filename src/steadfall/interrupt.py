"""Ctrl-C, heard at any moment: by Python where it runs, by a thread where native code does not listen.

Rule of this file: the work has a moment to end in order. If it has not begun to by then (a solver in the
middle of a question, a compiler, a library that swallows the interruption), what it has begun is tidied and
the command ends. A second Ctrl-C does not wait.
"""

from __future__ import annotations

import importlib
import os
import shutil
import signal
import socket
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import NoReturn

from steadfall.workers import NUMBERS, end_all, undisturbed

GRACE_S, TIDY_S = 0.5, 0.1
STOPPED = 130  # the exit code
WORDS = "stopped; nothing was left half-written"

# Signals belong to the whole process, and so does what is known of them.
_HEARD, _ENDING = threading.Event(), threading.Event()
_DRAFTS: set[Path] = set()
_PENDING: list[str] = []  # what stdout still lacks where the command is ended now


def heard() -> bool:
    """Whether Ctrl-C was pressed; what fails after that, fails for that."""
    return _HEARD.is_set()


def ending() -> None:
    """The work has heard, and says what it has: it may take the time that this needs."""
    _ENDING.set()


def pending(text: str) -> None:
    """What is to be printed on stdout where the command is ended before it prints anything; "" once it
    does.
    """
    _PENDING[:] = [text]


def last_words() -> str:
    """What stdout still lacks; nothing once it has been asked for."""
    return _PENDING.pop() if _PENDING else ""


@contextmanager
def removed(folder: Path) -> Iterator[Path]:
    """A folder that is gone afterwards, even where the work inside does not hear Ctrl-C."""
    _DRAFTS.add(folder)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        _DRAFTS.discard(folder)


@contextmanager
def listening() -> Iterator[None]:
    """Hear Ctrl-C, and a request to terminate, as KeyboardInterrupt; end what does not hear it."""
    ours, theirs = socket.socketpair()
    theirs.setblocking(False)
    signal.set_wakeup_fd(theirs.fileno(), warn_on_full_buffer=False)
    with undisturbed():  # the signal shall find the thread that works, not the one that watches
        threading.Thread(target=_watch, args=(ours,), daemon=True).start()
    for number in NUMBERS:
        if signal.getsignal(number) is not signal.SIG_IGN:  # as `nohup` wants it
            signal.signal(number, _interrupt)
    sys.unraisablehook = _unraisable
    try:
        yield
    finally:  # nothing is left to be ended in order
        signal.set_wakeup_fd(-1)
        for number in NUMBERS:
            if signal.getsignal(number) is not signal.SIG_IGN:
                signal.signal(number, signal.SIG_DFL)


def _unraisable(what: sys.UnraisableHookArgs) -> None:
    """An interruption that a library swallows is no news: whoever watches ends the command."""
    if what.exc_type is not KeyboardInterrupt:
        sys.__unraisablehook__(what)


def _interrupt(_number: int, _frame: FrameType | None) -> None:
    _HEARD.set()
    raise KeyboardInterrupt


def _watch(pipe: socket.socket) -> None:
    """Wait for a signal, then for the work to end; where nothing more is sent, the work is over."""
    if not pipe.recv(1):
        return
    _HEARD.set()
    if _ENDING.wait(GRACE_S) and not pipe.recv(1):
        return
    leave(STOPPED, f"{WORDS}\n")


def leave(code: int, words: str = "") -> NoReturn:
    """End the command: its processes, drafts and locks; nothing else is taken down in order."""
    end_all()
    for folder in tuple(_DRAFTS):
        shutil.rmtree(folder, ignore_errors=True)
    locks = importlib.import_module("multiprocessing.util")
    tidy = threading.Thread(target=locks._exit_function, daemon=True)
    tidy.start()
    tidy.join(TIDY_S)
    os.write(1, last_words().encode())
    os.write(2, words.encode())
    os._exit(code)
