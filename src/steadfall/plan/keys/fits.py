"""Which kind of value, and which section, says a thing of the plan.

Rule of this file: the way back from data to the table of keys, for all that walk a plan by that table.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from steadfall.plan.keys import kinds
from steadfall.plan.keys.held import Measured
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.model.condition import Condition


def part_of(kind: kinds.Either, value: Any) -> kinds.Kind | None:
    """The last of several kinds that can say a value: the words come first in the table, the numbers last."""
    return next((part for part in reversed(kind.kinds) if FITS[type(part)](part, value)), None)


def section_of(kind: kinds.Many, item: Any) -> kinds.Section:
    """The section of one entry of a list: that of its class."""
    return next(section for name in kind.sections if is_of(section := SECTIONS[name], item))


def is_of(section: kinds.Section, thing: Any) -> bool:
    """Whether a thing is what the section makes."""
    return isinstance(thing, section.makes or Mapping)


# Which values a kind can say, where a key holds one of several kinds.
FITS: Mapping[type, Callable[[Any, Any], bool]] = {
    kinds.Text: lambda _kind, value: isinstance(value, str),
    kinds.Refs: lambda _kind, value: isinstance(value, tuple) and value != (),
    kinds.Words: lambda kind, value: value in (kind.means or kind.words),
    kinds.Amount: lambda _kind, value: isinstance(value, float | int),
    kinds.Time: lambda _kind, value: isinstance(value, int),
    kinds.Measure: lambda _kind, value: isinstance(value, Measured),
    kinds.Phrase: lambda _kind, value: isinstance(value, Condition),
    kinds.Pattern: lambda _kind, value: isinstance(value, str),
    kinds.One: lambda kind, value: is_of(SECTIONS[kind.section], value),
}
