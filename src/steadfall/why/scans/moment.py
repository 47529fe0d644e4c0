"""One scan of a history: every value in it, and what each signal and timer held before it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from attrs import frozen

from steadfall.logic.nodes import Node, Value
from steadfall.scan.interpreter import MEANING, Clock, Scanner


@frozen(eq=False)
class Moment:
    """The scan with this number; `values` and `clocks` are after it, `last` and `before` as it found them."""

    scan: int
    time_ms: int
    dt: int  # since the last scan; 0 in the first
    values: Mapping[str, Value]
    last: Mapping[str, Value]
    clocks: Mapping[str, Clock]
    before: Mapping[str, Clock]

    def value(self, node: Node) -> Any:
        """The value of an expression in this scan, as the interpreter means it."""
        # An expression asks its scanner for values, last values and clocks only; a moment has all three.
        return MEANING[type(node)](node, cast(Scanner, self))
