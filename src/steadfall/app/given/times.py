"""A time as it is typed behind an option: one reader for all of them."""

from __future__ import annotations

import re

from steadfall.source import AskError
from steadfall.units import QuantityError, milliseconds

FORMS = "20 s, 12.34s, 6min, 4:40 or 1:04:40"
_NUMBER_AND_UNIT = re.compile(r"(?P<number>-?[0-9.]+) ?(?P<unit>[a-z]*)\Z")


def typed_ms(text: str) -> int:
    """A time in ms: number and unit, as on a clock, or a number of seconds; raises AskError."""
    said = text.strip()
    found = _NUMBER_AND_UNIT.match(said)
    try:
        return milliseconds(f"{found['number']} {found['unit'] or 's'}" if found else said)
    except QuantityError as error:
        raise AskError(f"'{said}' is no time such as {FORMS}: {error}") from error
