"""What a link is: outputs are read, inputs are written, and for both it is said when that was.

Rule of this file: an exchange that fails is `LostError` within its own limit, never an old value. A value
that the controller itself calls bad is none.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from attrs import field, frozen

from steadfall.logic.nodes import Value
from steadfall.source import OutsideError

LIMIT_S = 0.25  # of one exchange: libraries' own limits notice a dead peer after 1.5 to 12 s


class LostError(OutsideError):
    """No answer, an answer that cannot be read, or one that says bad."""


@frozen
class Part:
    """What one request read or wrote: all of it was true at one moment between the two."""

    begun_ns: int
    ended_ns: int
    values: Mapping[str, Value]


@frozen
class Exchange:
    """What was read or written, request by request; of what was written, as it stands on the wire."""

    parts: tuple[Part, ...]

    @property
    def begun_ns(self) -> int:
        """When the first request was sent."""
        return min(part.begun_ns for part in self.parts)

    @property
    def ended_ns(self) -> int:
        """When the last was answered."""
        return max(part.ended_ns for part in self.parts)

    @property
    def values(self) -> dict[str, Value]:
        """All values."""
        return {name: value for part in self.parts for name, value in part.values.items()}


@frozen
class Peer:
    """Who is at the other end, as it says itself."""

    address: str
    says: Mapping[str, str] = field(factory=dict)


class Link(Protocol):
    """A connection to a controller. Every call may raise LostError."""

    def problems(self) -> list[str]:
        """All that stands against using it, at once: missing, of another type, not writable."""

    def peer(self) -> Peer:
        """Who is at the other end."""

    def read(self) -> Exchange:
        """The controller's outputs."""

    def shown(self) -> Mapping[str, Value]:
        """Everything as it stands in the controller now, inputs too."""

    def write(self, values: Mapping[str, Value]) -> Exchange:
        """Inputs of the controller."""

    def close(self) -> None:
        """Let go of it; nothing is written."""
