"""One thing that would have to be other than it is, for a signal to have another value in a scan."""

from __future__ import annotations

from attrs import field, frozen

from steadfall.logic.nodes import Value
from steadfall.source import Mark

WAIT = "wait"


@frozen
class Change:
    """One thing that would have to be other than it is: `name op value`; of a wait, `value` is the ms to
    go.
    """

    kind: str
    name: str
    op: str
    value: Value
    mark: Mark = field(eq=False)
    place: int = field(default=0, eq=False)  # of its signal in the network

    @property
    def order(self) -> tuple[int, str, str, Value]:
        """Where it stands among others of its way."""
        return self.place, self.kind, self.op, self.value
