"""The words of the control logic: a small closed set of node classes that every reader knows.

Rule of this file: a node is frozen, typed, and remembers where it came from. Expressions may be nested; a
block (latch, edge, timer) keeps something from scan to scan and therefore stands alone in an assignment,
which names it. Four types: BOOL, TIME (whole milliseconds), INT, REAL (64 bit).

What the nodes mean is defined in `steadfall.scan.interpreter`, a sentence for each stands here.
"""

from __future__ import annotations

from enum import Enum
from typing import get_args

from attrs import field, frozen

from steadfall.source import NOWHERE, Mark


class Type(Enum):
    """What a signal can carry, by its word in IEC 61131-3."""

    BOOL = "BOOL"
    TIME = "TIME"
    INT = "INT"
    REAL = "REAL"


Value = bool | int | float
Ends = tuple[int, int]  # the least and the greatest that an INT can be
LARGEST = 2**53  # whole numbers up to here are exact as REAL; a time in ms beyond it is not (285 000 years)


def _mark() -> Mark:
    return field(default=NOWHERE, eq=False, repr=False, kw_only=True)


@frozen
class Constant:
    """A value that never changes; `label` is what a person would call it, such as `mist.shortest_open`.

    `is_state`: it is the number of a state of the circuit's own sequence, which goes by the state's name.
    """

    value: Value
    type: Type
    label: str = field(default="", eq=False, kw_only=True)
    is_state: bool = field(default=False, eq=False, repr=False, kw_only=True)
    mark: Mark = _mark()


@frozen
class Read:
    """A signal's value in this scan: an input, or what an assignment above has given it."""

    name: str
    type: Type
    mark: Mark = _mark()


@frozen
class Previous:
    """A signal's value at the end of the last scan; in the first scan, its initial value."""

    name: str
    type: Type
    mark: Mark = _mark()


@frozen
class Elapsed:
    """The elapsed time ET of a timer block that stands above, in this scan."""

    timer: str
    mark: Mark = _mark()


@frozen
class Not:
    """The opposite."""

    part: Node
    mark: Mark = _mark()


@frozen
class And:
    """All parts hold."""

    parts: tuple[Node, ...]
    mark: Mark = _mark()


@frozen
class Or:
    """At least one part holds."""

    parts: tuple[Node, ...]
    mark: Mark = _mark()


@frozen
class Compare:
    """Two values of one type compared: "<", "<=", ">", ">=", "=", "<>" (BOOL: only the last two)."""

    op: str
    left: Node
    right: Node
    mark: Mark = _mark()


@frozen
class Select:
    """One value while the condition holds, the other while it does not."""

    when: Node
    then: Node
    otherwise: Node
    mark: Mark = _mark()


@frozen
class Mux:
    """The entry that an INT points at, counted from 0; below 0 the first, past the end the last."""

    index: Node
    entries: tuple[Node, ...]
    label: str = field(default="", eq=False, repr=False, kw_only=True)  # what a person would call it
    mark: Mark = _mark()


@frozen
class Add:
    """Sum of two REAL, INT or TIME; whole numbers stop at +-2^53."""

    left: Node
    right: Node
    mark: Mark = _mark()


@frozen
class Subtract:
    """Difference of two REAL, INT or TIME; whole numbers stop at +-2^53."""

    left: Node
    right: Node
    mark: Mark = _mark()


@frozen
class Multiply:
    """Product of two REAL."""

    left: Node
    right: Node
    mark: Mark = _mark()


@frozen
class Least:
    """The lesser of two REAL; the right one when they are equal or cannot be compared."""

    left: Node
    right: Node
    mark: Mark = _mark()


@frozen
class Greatest:
    """The greater of two REAL; the right one when they are equal or cannot be compared."""

    left: Node
    right: Node
    mark: Mark = _mark()


@frozen
class Limit:
    """A REAL kept within two ends: the lesser of high and (the greater of value and low). Not a number gives
    low.
    """

    low: Node
    value: Node
    high: Node
    mark: Mark = _mark()


@frozen
class SquareRoot:
    """The square root of a REAL; 0 of what is not above 0, and of what is not a number."""

    part: Node
    mark: Mark = _mark()


@frozen
class ToReal:
    """A TIME (in ms) or INT as REAL, exactly."""

    part: Node
    mark: Mark = _mark()


@frozen
class ToTime:
    """A REAL number of ms as TIME: the nearest multiple of the step, ties to the even multiple (IEEE 754).

    Not a number gives 0; beyond +-2^53 steps it stays there.
    """

    part: Node
    step_ms: int
    mark: Mark = _mark()


@frozen
class Rise:
    """Block R_TRIG: true for the one scan in which its part became true; the value before the first scan is
    false.
    """

    part: Node
    mark: Mark = _mark()


@frozen
class Fall:
    """Block F_TRIG: true for the one scan in which its part became false; the value before the first scan is
    true.
    """

    part: Node
    mark: Mark = _mark()


@frozen
class SetDominant:
    """Block SR: set while `set` holds, else cleared while `reset` holds, else as it was."""

    set: Node
    reset: Node
    mark: Mark = _mark()


@frozen
class ResetDominant:
    """Block RS: cleared while `reset` holds, else set while `set` holds, else as it was."""

    set: Node
    reset: Node
    mark: Mark = _mark()


@frozen
class Ton:
    """Block TON, on-delay: true once its part has held for the preset. ET is 0 in the scan in which it
    rises.
    """

    part: Node
    preset: Node
    mark: Mark = _mark()


@frozen
class Tof:
    """Block TOF, off-delay: true while its part holds and for the preset after it has fallen."""

    part: Node
    preset: Node
    mark: Mark = _mark()


@frozen
class Tp:
    """Block TP, pulse: true for the preset from a rising part on, whatever the part does meanwhile."""

    part: Node
    preset: Node
    mark: Mark = _mark()


@frozen
class Since:
    """Block, a TIME: how long ago the event was last true in a scan before this one, at most the limit.

    The elapsed time of a step, as sequential function charts count it: when the event is true in one scan,
    the next scan reads the time between the two. A TON started by the event would read 0 there, one scan
    short, and a dose built from it would be one scan too long. Before any event it counts from the first
    scan. The event is a BOOL signal by name and may be assigned further down.
    """

    event: str
    limit_ms: int
    mark: Mark = _mark()


Expression = (
    Constant
    | Read
    | Previous
    | Elapsed
    | Not
    | And
    | Or
    | Compare
    | Select
    | Mux
    | Add
    | Subtract
    | Multiply
    | Least
    | Greatest
    | Limit
    | SquareRoot
    | ToReal
    | ToTime
)
Timer = Ton | Tof | Tp
Block = Rise | Fall | SetDominant | ResetDominant | Ton | Tof | Tp | Since
Node = Expression | Block

BLOCKS: tuple[type[Block], ...] = get_args(Block)
TIMERS: tuple[type[Timer], ...] = get_args(Timer)
NODE_CLASSES: tuple[type[Node], ...] = (*get_args(Expression), *BLOCKS)
