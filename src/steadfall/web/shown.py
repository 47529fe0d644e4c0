"""What comes back from work beside the page: data only, so that it can pass from process to process.

Rule of this file: JSON is text already, so that the page, which must answer others meanwhile, hands it on and
does no more with it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from attrs import frozen

from steadfall.app.page.refuted import Refuted


@frozen
class Code:
    """A program, for each of its lines the lines of the plan, and all files that go with it."""

    text: str
    origins: tuple[tuple[int, ...], ...]
    files: Mapping[str, bytes]


@frozen
class Offers:
    """Doses to choose from: a figure whose parts name rows, the rows, what is said of them, and what the best
    of them would change in the text.
    """

    figure: str
    head: Sequence[str]
    rows: Sequence[Sequence[str]]
    said: Sequence[str]
    change: str


@frozen
class Shown:
    """What a use gave: the page that shows it ("" where there is none), its JSON and its charts as text, and
    of which plan's text it is (the digest).
    """

    paper: str
    twin: str
    digest: str
    charts: str = ""
    verdict: str = ""
    good: bool = True
    code: Code | None = None
    offers: Offers | None = None
    table: Sequence[Sequence[str]] = ()  # a head and rows: what the plant goes through, what can fail
    text: str = ""  # what is proposed for the plan
    refuted: tuple[Refuted, ...] = ()
