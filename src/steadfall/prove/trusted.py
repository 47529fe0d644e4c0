"""What a verdict rests on that no proof shows: one list, for every result and for docs/proof.md."""

from __future__ import annotations

import textwrap

from attrs import frozen

WIDTH = 110
WHERE = "docs/proof.md, What must be trusted"


@frozen
class Trusted:
    """One thing that must be so, in a word and in a sentence."""

    word: str
    sentence: str


TRUSTED: tuple[Trusted, ...] = (
    Trusted(
        "compilation and observers",
        "the network and the observers under it say what the plan, or the controller's text, says",
    ),
    Trusted("the step relation", "the formula of a step does what a scan of the network does"),
    Trusted("cvc5", "what cvc5 calls impossible is impossible"),
    Trusted("whole milliseconds", "the controller counts time in whole milliseconds"),
    Trusted("at least 1 ms between scans", "no scan begins less than 1 ms after the one before"),
    Trusted("the longest scan is kept", "no scan begins later after the one before than `longest` says"),
    Trusted("no value that is not a number", 'no measured value is ever "not a number"'),
    Trusted("exact whole numbers", "no whole number or time outgrows the type that the controller gives it"),
    Trusted("64-bit REAL", "the controller works out measured values in 64 bits"),
    Trusted(
        "nothing within a scan",
        "inputs are read once, before a scan, and outputs written once, after it; nothing comes between",
    ),
)


def in_short() -> str:
    """The list in a sentence, and where it stands in full."""
    return f"Trusted, not proved ({WHERE}): {', '.join(row.word for row in TRUSTED)}."


def as_json() -> list[str]:
    """The list in sentences."""
    return [row.sentence for row in TRUSTED]


def as_markdown() -> str:
    """The list as docs/proof.md has it."""
    rows = (f"- **{row.word}**: {row.sentence}." for row in TRUSTED)
    return "".join(f"{textwrap.fill(row, WIDTH, subsequent_indent='  ')}\n" for row in rows)
