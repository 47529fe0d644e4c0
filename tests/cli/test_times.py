"""A time behind any option is written as in a plan, as on a clock, or as a number of seconds."""

from __future__ import annotations

import pytest

from steadfall.app.given.times import typed_ms
from steadfall.cli import COMMANDS, steadfall
from steadfall.cli.common.times import Time
from steadfall.source import AskError


@pytest.mark.parametrize(
    ("text", "ms"),
    [
        ("20 s", 20_000),
        ("20s", 20_000),
        ("12.34", 12_340),
        ("6min", 360_000),
        ("6 min", 360_000),
        ("4:40", 280_000),
        ("4:40.250", 280_250),
        ("1:04:40", 3_880_000),
        ("250 ms", 250),
    ],
)
def test_every_form_is_read(text: str, ms: int) -> None:
    assert typed_ms(text) == ms


@pytest.mark.parametrize("text", ["", "soon", "4:99", "1,5 s", "3 K", "12.34.5", "0.0001 s"])
def test_what_is_no_time_is_told_with_the_forms(text: str) -> None:
    with pytest.raises(AskError, match="4:40"):
        typed_ms(text)


def test_every_option_that_waits_or_names_a_moment_is_a_time() -> None:
    ctx = steadfall.make_context("steadfall", [], resilient_parsing=True)
    found = {
        (verb, option.opts[0])
        for verb in COMMANDS
        for command in [steadfall.get_command(ctx, verb)]
        if command is not None
        for option in command.params
        if isinstance(option.type, Time)
    }
    waits = {("prove", "--limit"), ("compare", "--limit"), ("bench", "--for"), ("serve", "--for")}
    assert found == {("why", "--at"), *waits}
