"""The guard refuses what another page, another machine or a longer text tries; each test is such an attempt.

Rule of this file: the application behind the guard notes who got through, so that a refusal which lets a
request pass all the same is seen.
"""

from __future__ import annotations

import asyncio
from typing import Any

import pytest
from attrs import define, field

from steadfall.web.address import Address
from steadfall.web.guard import MOST, Guard, Message, Receive, Send
from steadfall.web.policy import signed

OURS = Address("127.0.0.1", 8123, "right-word")
COOKIE = {"cookie": "other=1; steadfall_8123=right-word"}
HOST = {"host": "127.0.0.1:8123"}
ORIGIN = {"origin": "http://127.0.0.1:8123"}


@define
class Behind:
    """Stands for the page: notes what came through, reads all of it, and answers."""

    page: str = "<p>a page</p>"
    kind: str = "text/html; charset=utf-8"
    came: list[str] = field(factory=list)

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            self.came.append("socket")
            return
        while (await receive()).get("more_body"):
            pass
        self.came.append(scope["path"])
        headers = [(b"content-type", self.kind.encode()), (b"content-length", b"1")]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": self.page.encode()})


def ask(
    behind: Behind, method: str, path: str, headers: dict[str, str], body: tuple[bytes, ...] = (b"",)
) -> tuple[int, dict[str, str], str]:
    """What is answered: status, headers, text. `SOCKET` opens a socket; 101: it was let in."""
    sent: list[Message] = []
    parts = [{"type": "http.request", "body": part, "more_body": True} for part in body]
    parts[-1]["more_body"] = False
    way, _, query = path.partition("?")
    scope: dict[str, Any] = {
        "type": "websocket" if method == "SOCKET" else "http",
        "method": method,
        "path": way,
        "query_string": query.encode(),
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }

    async def receive() -> Message:
        return {"type": "websocket.connect"} if method == "SOCKET" else parts.pop(0)

    async def send(message: Message) -> None:
        sent.append(message)

    asyncio.run(Guard(behind, OURS)(scope, receive, send))
    if method == "SOCKET":
        return (sent[0]["code"] if sent else 101), {}, ""
    told = {name.decode(): value.decode() for name, value in sent[0]["headers"]}
    return sent[0]["status"], told, b"".join(part["body"] for part in sent[1:]).decode()


@pytest.mark.parametrize(
    ("method", "path", "headers", "status"),
    [
        ("GET", "/", HOST, 403),  # no word
        ("GET", "/?token=wrong", HOST, 403),
        ("GET", "/?token=wrong&token=right-word", HOST, 403),
        ("GET", "/", {**HOST, "cookie": "steadfall_8123=wrong"}, 403),
        ("GET", "/", {**HOST, "cookie": "steadfall_8124=right-word"}, 403),  # the cookie of another port
        ("GET", "/", COOKIE, 421),  # no host
        ("GET", "/", {**COOKIE, "host": "evil.example:8123"}, 421),  # a name that leads here
        ("GET", "/", {**COOKIE, "host": "127.0.0.1"}, 421),
        ("GET", "/", {**COOKIE, **HOST, "origin": "http://evil.example"}, 403),
        ("GET", "/", {**COOKIE, **HOST, "origin": "null"}, 403),  # a page in a sandbox
        ("GET", "/", {**COOKIE, **HOST, "origin": "http://127.0.0.1:9999"}, 403),  # another program here
        ("POST", "/api", {**COOKIE, **HOST}, 403),  # says not who asks
        ("POST", "/api?token=right-word", {**HOST, **ORIGIN}, 403),  # the word opens a page, no more
        ("POST", "/api", {**COOKIE, **HOST, **ORIGIN, "content-length": str(MOST + 1)}, 413),
        ("SOCKET", "/ws", {**HOST, **ORIGIN}, 1008),
        ("SOCKET", "/ws", {**COOKIE, **HOST}, 1008),
        ("SOCKET", "/ws", {**COOKIE, **HOST, "origin": "http://evil.example"}, 1008),
        ("SOCKET", "/ws", {**COOKIE, **ORIGIN, "host": "evil.example"}, 1008),
        ("SOCKET", "/ws?token=right-word", {**HOST, **ORIGIN}, 1008),
    ],
)
def test_is_refused(method: str, path: str, headers: dict[str, str], status: int) -> None:
    behind = Behind()
    assert ask(behind, method, path, headers)[0] == status
    assert behind.came == []


@pytest.mark.parametrize("method", ["GET", "POST", "SOCKET"])
def test_our_own_page_gets_through(method: str) -> None:
    behind = Behind()
    status, _, _ = ask(behind, method, "/api", {**COOKIE, **HOST, **ORIGIN})
    assert status == (101 if method == "SOCKET" else 200)
    assert len(behind.came) == 1


class Careful(Behind):
    """A page that answers whatever goes wrong in it, as its framework does."""

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        try:
            await super().__call__(scope, receive, send)
        except Exception:
            await send({"type": "http.response.start", "status": 500, "headers": []})
            await send({"type": "http.response.body", "body": b""})


@pytest.mark.parametrize("behind", [Behind(), Careful()])
def test_more_than_it_says_is_counted(behind: Behind) -> None:
    half = b"x" * (MOST // 2 + 1)
    assert ask(behind, "POST", "/api", {**COOKIE, **HOST, **ORIGIN}, (half, half))[0] == 413
    assert behind.came == []


@pytest.mark.parametrize("path", ["/", "/plan?a=1", "//evil.example/", "/\\evil.example/"])
def test_the_word_moves_into_a_cookie_that_scripts_and_other_sites_do_not_see(path: str) -> None:
    behind = Behind()
    status, told, _ = ask(behind, "GET", f"{path}{'&' if '?' in path else '?'}token=right-word", HOST)
    assert status == 303
    assert told["location"] == "/" + path.lstrip("/\\")
    assert "right-word" not in told["location"]
    assert told["set-cookie"] == "steadfall_8123=right-word; HttpOnly; SameSite=Strict; Path=/"
    assert behind.came == []


def test_a_page_runs_only_its_own_scripts_and_loads_nothing_from_outside() -> None:
    words = "<script>a()</script><script type='x'>&lt;script&gt;b()</script>"
    _, told, page = ask(Behind(words), "GET", "/", {**COOKIE, **HOST})
    rules = dict(rule.split(" ", 1) for rule in told["content-security-policy"].split("; "))
    nonce = rules["script-src"].partition("'nonce-")[2].rstrip("'")
    assert len(nonce) >= 20
    assert page.count(f'<script nonce="{nonce}"') == 2
    assert "&lt;script&gt;b()" in page
    assert int(told["content-length"]) == len(page)
    assert "'unsafe-inline'" not in rules["script-src"]
    assert rules["default-src"] == rules["object-src"] == rules["base-uri"] == "'none'"
    outside = [rule for rule in rules.values() for word in rule.split() if "//" in word]
    assert outside == ["'self' ws://127.0.0.1:8123"]


def test_no_two_answers_have_the_same_nonce() -> None:
    pages = {ask(Behind("<script>a()</script>"), "GET", "/", {**COOKIE, **HOST})[2] for _ in range(3)}
    assert len(pages) == 3


def test_what_is_no_page_is_passed_on_as_it_is() -> None:
    _, _, text = ask(Behind("<script>", "application/json"), "GET", "/", {**COOKIE, **HOST})
    assert text == "<script>"


def test_a_word_that_only_begins_like_a_script_is_let_alone() -> None:
    assert signed("<scripture> <SCRIPT>", "n") == '<scripture> <script nonce="n">'


def test_another_machine_is_served_only_under_the_name_that_was_given() -> None:
    wide = Address("10.0.0.7", 80, "w")
    assert not wide.alone
    assert OURS.alone
    assert "10.0.0.7:80" in wide.hosts
    assert "10.0.0.7:8123" not in OURS.hosts
