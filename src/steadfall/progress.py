"""How far a piece of work is, and whether it shall go on: one way for every use of it."""

from __future__ import annotations

from steadfall.source import SteadfallError


class Cancelled(SteadfallError):  # noqa: N818  (nothing has failed)
    """Whoever asked for the work wants no more of it."""


class Progress:
    """Is told how far a piece of work is; this one says nothing and lets it go on."""

    def tell(self, done: float, of: float | None, words: str) -> None:
        """So much is done, of so much (None: nobody knows yet), and what is going on, in words."""

    def cancelled(self) -> bool:
        """Whether to stop; asked after every `tell`."""
        return False

    def step(self, done: float, of: float | None, words: str) -> None:
        """Tell how far it is; raises Cancelled when it shall not go on."""
        self.tell(done, of, words)
        if self.cancelled():
            raise Cancelled("stopped before the end")


SILENT = Progress()
