"""The six comparisons: what each means, what it becomes when it is denied and when its sides are swapped.

Rule of this file: numbers are meant. With a REAL that is no number ("not a number") none holds but `<>`, so
only `=` and `<>` deny each other then.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from typing import Any

HOLDS: Mapping[str, Callable[[Any, Any], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "=": operator.eq,
    "<>": operator.ne,
}
ORDERED = ("<", "<=", ">", ">=")  # those that ask for values in an order: BOOL has none
NEGATION: Mapping[str, str] = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "=": "<>", "<>": "="}
MIRROR: Mapping[str, str] = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "=": "=", "<>": "<>"}
