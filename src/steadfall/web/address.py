"""Where the page is served, who may ask for it, and by which word they show that they may."""

from __future__ import annotations

import secrets

from attrs import field, frozen

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
TOKEN = "token"  # noqa: S105  (the name of a parameter, not a secret)


@frozen
class Address:
    """A host and a port, and the secret word of this run of the server."""

    host: str
    port: int
    token: str = field(factory=lambda: secrets.token_urlsafe(24), repr=False)

    @property
    def alone(self) -> bool:
        """Whether only this machine can reach it."""
        return self.host in LOOPBACK

    @property
    def hosts(self) -> frozenset[str]:
        """What a browser that asks for this very page calls it."""
        names = LOOPBACK if self.alone else (self.host, *LOOPBACK)
        return frozenset(f"{name}:{self.port}" for name in names)

    @property
    def origins(self) -> frozenset[str]:
        """The pages that may ask: ours alone."""
        return frozenset(f"http://{host}" for host in self.hosts)

    @property
    def cookie(self) -> str:
        """The cookie that holds the word; a browser does not keep the cookies of two ports apart."""
        return f"steadfall_{self.port}"

    def url(self, path: str = "/") -> str:
        """What a person opens: it carries the word once, the guard moves it into the cookie."""
        return f"http://{self.host}:{self.port}{path}?{TOKEN}={self.token}"
