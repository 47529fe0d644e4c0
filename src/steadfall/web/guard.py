"""Stands before the whole page: who may ask, how much they may send, and what an answer may do in a browser.

Rule of this file: HTTP and socket pass the same questions. The host is ours (or a name server elsewhere could
lead here), the origin is ours (or any page in the same browser could talk to us), and the word is right.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qsl, urlencode

from attrs import frozen

from steadfall.web.address import TOKEN, Address
from steadfall.web.policy import FIXED, policy, signed

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Message, Receive, Send], Awaitable[None]]
MOST = 4 * 2**20  # bytes of one request: a plan has 1 MiB at most
READING = ("GET", "HEAD")
TOO_MUCH = "That is more than a plan can have."
CLOSED = 1008  # the socket's word for "you may not"


@frozen
class Guard:
    """An application behind the questions."""

    app: App
    address: Address

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Let a request through, or refuse it with a reason."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        given = ((name.decode("latin-1"), value.decode("latin-1")) for name, value in scope["headers"])
        headers = {name.lower(): value for name, value in given}
        refused = self._refused(scope, headers)
        moved = None if refused else self._moved(scope)
        if scope["type"] == "websocket":
            await (_hang_up(receive, send) if refused else self.app(scope, receive, send))
        elif refused:
            await _answer(send, *refused)
        elif moved:
            cookie = f"{self.address.cookie}={self.address.token}; HttpOnly; SameSite=Strict; Path=/"
            await _answer(send, 303, "", location=moved, set_cookie=cookie)
        else:
            await self._bounded(scope, receive, Answer(send, headers["host"]))

    def _refused(self, scope: Message, headers: MutableMapping[str, str]) -> tuple[int, str] | None:
        """Why not, or None."""
        if headers.get("host", "") not in self.address.hosts:
            return 421, "This page is not served under that name."
        asks = scope["type"] == "websocket" or scope["method"] not in READING
        origin = headers.get("origin")
        if (asks or origin is not None) and origin not in self.address.origins:
            return 403, "Another page may not ask here."
        if not self._known(headers) and not self._told(scope):
            return 403, "Open this page by the address that steadfall printed: it carries the word."
        length = headers.get("content-length", "")
        if length.isdigit() and int(length) > MOST:
            return 413, TOO_MUCH
        return None

    def _known(self, headers: MutableMapping[str, str]) -> bool:
        try:
            cookies = SimpleCookie(headers.get("cookie", ""))
        except CookieError:
            return False
        own = cookies.get(self.address.cookie)
        return own is not None and _same(own.value, self.address.token)

    def _told(self, scope: Message) -> bool:
        """Whether the address itself carries the word: only where a person opens the page."""
        words = [value for name, value in _query(scope) if name == TOKEN]
        reads = scope["type"] == "http" and scope["method"] in READING
        return reads and len(words) == 1 and _same(words[0], self.address.token)

    def _moved(self, scope: Message) -> str | None:
        """The same address without the word, which must not stay in the browser's history."""
        if not self._told(scope):
            return None
        left = urlencode([(name, value) for name, value in _query(scope) if name != TOKEN])
        path = "/" + str(scope["path"]).lstrip("/\\")  # never the name of another host
        return f"{path}?{left}" if left else path

    async def _bounded(self, scope: Message, receive: Receive, answer: Answer) -> None:
        """Whoever says nothing of the length is counted, before anybody else reads it."""
        body = await _body(receive)
        if body is None:
            await _answer(answer.send, 413, TOO_MUCH)
            return
        given = [{"type": "http.request", "body": body, "more_body": False}]

        async def handed() -> Message:
            return given.pop() if given else await receive()

        await self.app(scope, handed, answer)


class Answer:
    """Sends what the application answers, with the rules for a browser; a page is signed as a whole."""

    def __init__(self, send: Send, host: str) -> None:
        self.send, self.host = send, host
        self.nonce = secrets.token_urlsafe(16)
        self.start: Message = {}
        self.page: list[bytes] | None = None

    async def __call__(self, message: Message) -> None:
        """Pass a part of the answer on."""
        if message["type"] == "http.response.start":
            await self._head(message)
        elif self.page is None:
            await self.send(message)
        else:
            await self._body(message)

    async def _head(self, message: Message) -> None:
        own = {**FIXED, "content-security-policy": policy(self.nonce, self.host)}
        names = {name.encode() for name in own}
        kept = [(name, value) for name, value in message.get("headers", []) if name.lower() not in names]
        headers = [*kept, *((name.encode(), value.encode()) for name, value in own.items())]
        self.start = {**message, "headers": headers}
        kind = next((value for name, value in kept if name.lower() == b"content-type"), b"")
        if kind.startswith(b"text/html"):
            self.page = []
            return
        await self.send(self.start)

    async def _body(self, message: Message) -> None:
        assert self.page is not None  # noqa: S101  (the head has come first)
        self.page.append(message.get("body", b""))
        if message.get("more_body"):
            return
        body = signed(b"".join(self.page).decode("utf-8"), self.nonce).encode("utf-8")
        other = [(name, value) for name, value in self.start["headers"] if name.lower() != b"content-length"]
        sized = [*other, (b"content-length", str(len(body)).encode())]
        await self.send({**self.start, "headers": sized})
        await self.send({"type": "http.response.body", "body": body})


def _same(given: str, right: str) -> bool:
    return hmac.compare_digest(given.encode(), right.encode())


def _query(scope: Message) -> list[tuple[str, str]]:
    return parse_qsl(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)


async def _body(receive: Receive) -> bytes | None:
    """All that is sent, or None where it is too much; whoever hangs up has sent nothing more."""
    taken, more = bytearray(), True
    while more:
        message = await receive()
        taken += message.get("body", b"")
        more = message.get("more_body", False)
        if len(taken) > MOST:
            return None
    return bytes(taken)


async def _hang_up(receive: Receive, send: Send) -> None:
    await receive()
    await send({"type": "websocket.close", "code": CLOSED})


async def _answer(send: Send, status: int, words: str, **headers: str) -> None:
    own = {**FIXED, "content-type": "text/plain; charset=utf-8", **headers}
    shown = [(name.replace("_", "-").encode(), value.encode()) for name, value in own.items()]
    body = words.encode()
    shown.append((b"content-length", str(len(body)).encode()))
    await send({"type": "http.response.start", "status": status, "headers": shown})
    await send({"type": "http.response.body", "body": body})
