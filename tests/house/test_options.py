"""Whoever reads of a command in the documents, in the code or on the page can type it: its options exist."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from steadfall.cli import COMMANDS, Verbs
from tests.examples import ROOT

OF_ALL = {"--help", "--version"}
VERBS = "|".join(COMMANDS)
# A command up to what ends it in a text: the end of the line, of its code, of its string, a comment, a pipe.
SAID = re.compile(rf"\bsteadfall ({VERBS})\b([^`\"\n|#;]*)")
ALONE = re.compile(rf"`({VERBS}) (--?[^`]*)`")  # in prose, where the tool need not be named
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")
COMMAND = Verbs()


def texts() -> Iterator[Path]:
    """Documents, and the code, whose words reach the terminal and the page."""
    yield from (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))
    for ending in ("py", "j2", "yaml"):
        yield from sorted((ROOT / "src").rglob(f"*.{ending}"))


def said(text: str) -> Iterator[tuple[str, str]]:
    """Each verb with an option that stands behind it."""
    for found in (*SAID.finditer(text), *ALONE.finditer(text)):
        for option in OPTION.findall(found[2]):
            yield found[1], option


@pytest.fixture(scope="module")
def known() -> dict[str, set[str]]:
    """The options of each verb."""
    context = click.Context(COMMAND)
    commands = {verb: COMMAND.get_command(context, verb) for verb in COMMANDS}
    return {
        verb: {word for one in command.params for word in (*one.opts, *one.secondary_opts)} | OF_ALL
        for verb, command in commands.items()
        if command is not None
    }


def test_every_option_that_is_named_exists(known: dict[str, set[str]]) -> None:
    named = [(path, *one) for path in texts() for one in said(path.read_text(encoding="utf-8"))]
    assert len(named) > 60
    assert {verb for _, verb, _ in named} > {"bench", "predict", "prove", "compare"}
    wrong = [(path.name, verb, option) for path, verb, option in named if option not in known[verb]]
    assert wrong == []


def test_an_option_that_is_not_there_would_be_found(known: dict[str, set[str]]) -> None:
    text = "run `steadfall prove plan.yaml --fast`, or `bench --cases all --cores 3`; steadfall why --at 3"
    missing = [(verb, option) for verb, option in said(text) if option not in known[verb]]
    assert missing == [("prove", "--fast"), ("bench", "--cores")]
