"""The page as a person begins it: the command, its server and its processes, asked over the network."""

from __future__ import annotations

import gc
import signal
import socket
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import psutil
import pytest
import uvicorn
from click.testing import CliRunner
from websockets import CloseCode
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection, connect
from websockets.typing import Origin

from steadfall.app.page.desk import opened
from steadfall.cli.open import WARNING, command
from steadfall.source import OutsideError
from steadfall.web import serve
from steadfall.web.guard import MOST
from steadfall.web.serve import Page, page
from steadfall.web.session import Recent, Session
from tests.cli.described import wrong_result
from tests.web.serving import PATIENCE_S, Served


def test_it_prints_where_it_is(served: Served) -> None:
    assert wrong_result(served.printed, "page") == []
    assert served.printed["alone"] is True


def test_it_listens_on_this_machine_alone(served: Served) -> None:
    own = psutil.Process(served.process.pid).net_connections("inet")
    assert {one.laddr.ip for one in own if one.status == psutil.CONN_LISTEN} == {"127.0.0.1"}


@pytest.mark.parametrize("path", ["/", "/plan", "/api/plan", "/look/page.css", "/docs", "/_nicegui/x"])
def test_without_the_word_nothing_is_served(served: Served, path: str) -> None:
    assert httpx.get(served.base + path).status_code == 403


def test_the_printed_address_opens_the_page_and_all_of_it_lies_here(served: Served) -> None:
    with httpx.Client(base_url=served.base, follow_redirects=True) as person:
        found = person.get(served.url)
        assert found.status_code == 200
        assert str(found.url) == f"{served.base}/plan"
        assert "nonce-" in found.headers["content-security-policy"]
        assert "<script>" not in found.text  # every one carries the nonce
        outside = {word for word in found.text.split('"') if word.startswith(("http:", "https:", "//"))}
        assert outside == set()
        assert person.get("/api/plan").json()["good"] is True


def test_a_socket_of_another_page_is_refused(served: Served) -> None:
    """As a page elsewhere would open it, with the cookie that it cannot have."""
    place = urlsplit(served.base)
    word = served.url.partition("token=")[2]
    asked = (
        f"GET /_nicegui_ws/socket.io/?EIO=4&transport=websocket HTTP/1.1\r\nHost: {place.netloc}\r\n"
        "Origin: {origin}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n"
        f"Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nCookie: steadfall_{place.port}={word}\r\n\r\n"
    )
    answers = []
    for origin in ("http://evil.example", served.base):
        with socket.create_connection((place.hostname or "", place.port or 0), PATIENCE_S) as wire:
            wire.sendall(asked.format(origin=origin).encode())
            answers.append(wire.recv(100).split()[1])
    assert answers == [b"403", b"101"]


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such signal there")
def test_killed_it_leaves_what_was_typed(tmp_path: Path) -> None:
    """A process of its own types, and is killed at once: it has no moment to put anything away."""
    plan = tmp_path / "plan.yaml"
    plan.write_text("title: before\n", encoding="utf-8")
    script = (
        "import os, signal, sys; from pathlib import Path\n"
        "from steadfall.web.session import Recent, Session\n"
        "session = Session(Path('.'), recent=Recent(None)); session.open(Path(sys.argv[1]))\n"
        "session.write('title: typed\\n', None); os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    ended = subprocess.run([sys.executable, "-c", script, str(plan)], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert plan.read_text(encoding="utf-8") == "title: before\n"
    assert opened(plan).text == "title: typed\n"


def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    session = Session(tmp_path, recent=Recent(None))
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(OutsideError, match="cannot serve at"):
            page(session, "127.0.0.1", taken.getsockname()[1])


def test_a_socket_that_sends_more_than_a_plan_can_have_is_closed(served: Served) -> None:
    place = urlsplit(served.base)
    cookie = f"steadfall_{place.port}={served.url.partition('token=')[2]}"
    way = f"ws://{place.netloc}/_nicegui_ws/socket.io/?EIO=4&transport=websocket"
    with connect(way, origin=Origin(served.base), additional_headers={"Cookie": cookie}) as wire:
        wire.recv(PATIENCE_S)
        with pytest.raises(ConnectionClosed) as closed:
            told(wire, "4" + "x" * MOST)
    assert closed.value.rcvd is not None
    assert closed.value.rcvd.code == CloseCode.MESSAGE_TOO_BIG


def told(wire: ClientConnection, text: str) -> None:
    """Send it, and hear everything that is answered."""
    wire.send(text)
    while True:
        wire.recv(PATIENCE_S)


@pytest.mark.parametrize(("host", "warned"), [("127.0.0.1", False), ("0.0.0.0", True)])  # noqa: S104
def test_whoever_lets_other_machines_ask_is_warned(
    host: str, warned: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text("title: one\n", encoding="utf-8")
    monkeypatch.setattr(Page, "serve", lambda self, _ready: self.listening.close())
    ran = CliRunner().invoke(command, [str(plan), "--host", host, "--quiet"])
    assert (WARNING in ran.stderr) == warned


def test_what_is_loaded_is_not_searched_through_while_the_page_answers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept: list[int] = []

    async def application(*_: object) -> None:
        """Nothing is asked."""

    monkeypatch.setattr(serve, "_application", lambda *_: application)
    monkeypatch.setattr(uvicorn.Server, "run", lambda *_, **__: kept.append(gc.get_freeze_count()))
    made = page(Session(tmp_path, recent=Recent(None)), "127.0.0.1", 0)
    try:
        made.serve(lambda: None)
    finally:
        gc.unfreeze()
    assert kept[0] > len(gc.get_objects()) // 2


def test_whoever_asks_as_soon_as_the_address_is_printed_is_heard(tmp_path: Path) -> None:
    made = page(Session(tmp_path, recent=Recent(None)), "127.0.0.1", 0)
    with made.listening, socket.create_connection(("127.0.0.1", made.address.port), PATIENCE_S):
        pass
