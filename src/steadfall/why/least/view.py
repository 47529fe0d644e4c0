"""One assignment of one scan, as the table of supports looks at it."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Node, Value
from steadfall.scan.interpreter import Clock
from steadfall.why.scans.history import History
from steadfall.why.scans.moment import Moment


@frozen(eq=False)
class View:
    """The scan, and the assignment whose node is asked for."""

    history: History
    moment: Moment
    row: Assignment

    def is_input(self, name: str) -> bool:
        """Whether a signal comes from outside."""
        return name in self.history.inputs

    def value(self, node: Node) -> Any:
        """The value of an expression in this scan."""
        return self.moment.value(node)

    @property
    def name(self) -> str:
        """The name of the assigned signal."""
        return self.row.name

    @property
    def now(self) -> Value:
        """The value of the assigned signal."""
        return self.moment.values[self.name]

    @property
    def last(self) -> Value:
        """The value that the assigned signal had before this scan."""
        return self.moment.last[self.name]

    @property
    def clock(self) -> Clock:
        """What the timer had counted before this scan, and its state."""
        return self.moment.before[self.name]

    def edge_before(self, part: Node) -> bool | None:
        """What an edge's part was in the last scan; None before the first."""
        scan = self.moment.scan
        return bool(self.history.moment(scan - 1).value(part)) if scan else None
