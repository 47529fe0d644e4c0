"""What the value of a signal in one scan can rest on."""

from __future__ import annotations

from attrs import frozen

from steadfall.logic.nodes import Node, Value

INPUT, PREVIOUS, CLOCK, ELAPSED = "input", "previous", "clock", "elapsed"


@frozen
class Fact:
    """One thing that a scan is handed and does not make itself.

    kind "input": an input in this scan; "previous": a signal at the end of the last scan; "clock": what a
    timer has counted and its state, or what an edge saw last, before this scan; "elapsed": the time since the
    last scan.
    """

    kind: str
    name: str = ""


@frozen
class Signal:
    """An assigned signal in this scan."""

    name: str


@frozen
class Counted:
    """The elapsed time of a timer in this scan."""

    timer: str


Part = Node | Fact | Signal | Counted
Ways = tuple[tuple[Part, ...], ...]  # each way is enough by itself: the parts that it rests on
DT = Fact(ELAPSED)


def key(part: Part) -> object:
    """What tells two parts apart: facts and signals by name, expressions by identity."""
    return part if isinstance(part, Fact | Signal | Counted) else id(part)


@frozen
class Valued:
    """A fact with what it was and the moment since when it had been so (None: from before the first scan)."""

    fact: Fact
    value: Value | tuple[int, int]
    since_ms: int | None
