"""An option that is a time, read as all times are."""

from __future__ import annotations

from typing import Any

import click

from steadfall.app.given.times import typed_ms
from steadfall.quantities import how_long
from steadfall.source import AskError


class Time(click.ParamType[float]):
    """A time in s, at least so long; written `20 s`, `6min`, `4:40` or as a number of seconds."""

    name = "time"

    def __init__(self, least: float = 0.0) -> None:
        self.least = least

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Read it; a slip of the pen is wrong usage."""
        try:
            found = typed_ms(value) / 1000 if isinstance(value, str) else float(value)
        except AskError as error:
            self.fail(str(error), param, ctx)
        if found < self.least:
            self.fail(f"{value} is less than {how_long(1000 * self.least)}.", param, ctx)
        return found
