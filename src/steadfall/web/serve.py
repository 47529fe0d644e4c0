"""Serves the page: a socket on this machine, the guard before everything, the work ended with the server."""

from __future__ import annotations

import contextlib
import gc
import socket
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from types import FrameType
from typing import Any

import uvicorn
from attrs import frozen
from fastapi import FastAPI
from nicegui import ui

from steadfall.app.given.document import document
from steadfall.source import OutsideError
from steadfall.web.address import Address
from steadfall.web.guard import MOST, Guard
from steadfall.web.pages import lay
from steadfall.web.session import Session, watching
from steadfall.web.views import VIEWS

LOOKS_S = 1.0  # between two looks at the plan's file


@frozen
class Page:
    """A page that listens already, and waits to be served."""

    session: Session
    address: Address
    listening: socket.socket

    def serve(self, ready: Callable[[], None]) -> None:
        """Serve until somebody ends it."""
        try:
            config = uvicorn.Config(
                Guard(_application(self.session, ready), self.address),
                log_level="warning",
                ws_max_size=MOST,
                timeout_graceful_shutdown=1,
                server_header=False,
            )
            config.load()
            _stay()
            _Server(config, self.session).run(sockets=[self.listening])
        finally:
            self.session.end()
            self.listening.close()


class _Server(uvicorn.Server):
    """A server that tells its session at once that it ends: there is less than a second after that."""

    def __init__(self, config: uvicorn.Config, session: Session) -> None:
        super().__init__(config)
        self._session = session

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Ctrl-C, or a request to terminate."""
        self._session.ends()
        super().handle_exit(sig, frame)


def _stay() -> None:
    """What is loaded by now stays until the end: the search for what nobody holds any more, which stops all
    answers, need not go through it again and again.
    """
    gc.collect()
    gc.freeze()


def session(plan: Path | None) -> Session:
    """A desk with a plan, or without one in the folder where the person is; raises OutsideError."""
    made = Session(Path.cwd() if plan is None else plan.parent)
    if plan is not None:
        made.open(plan)
    return made


def told(address: Address, url: str) -> dict[str, Any]:
    """Where the page is, as JSON."""
    views = [{"name": view.name, "path": view.link.path, "twin": f"/api/{view.name}"} for view in VIEWS]
    return document(None, True, {"address": url, "alone": address.alone, "views": views})


def page(session: Session, host: str, port: int) -> Page:
    """Listen; port 0 takes one that is free. Raises OutsideError where that cannot be."""
    listening = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host.strip("[]"), port))
        listening.listen()  # before the address is told: who asks at once waits in the queue
    except OSError as error:
        listening.close()
        raise OutsideError(f"cannot serve at {host}:{port}: {error.strerror or error}") from error
    return Page(session, Address(host, listening.getsockname()[1]), listening)


def _application(session: Session, ready: Callable[[], None]) -> FastAPI:
    @asynccontextmanager
    async def living(_app: FastAPI) -> AsyncIterator[None]:
        with contextlib.closing(_Ended(session)), watching(session, LOOKS_S):
            ready()
            yield

    made = FastAPI(lifespan=living, docs_url=None, redoc_url=None, openapi_url=None)
    lay(session)
    ui.run_with(
        made,
        title="Steadfall",
        dark=None,
        language="en-US",
        tailwind=False,
        gzip_middleware_factory=None,
        show_welcome_message=False,
        reconnect_timeout=10,
    )
    return made


@frozen
class _Ended:
    """Ends the work when the server closes."""

    session: Session

    def close(self) -> None:
        """End it."""
        self.session.end()
