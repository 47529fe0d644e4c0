"""Many rows, each with a button for what is behind it, as one piece of HTML.

Rule of this file: a table of hundreds of rows is one element, since the page answers nobody while it makes
each cell one; what a plan says is escaped.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from html import escape

from nicegui import ui

from steadfall.web.frame import CHOOSES


def rows_that_open(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    said: Sequence[tuple[str, str]],
    act: Callable[[int], Awaitable[None]],
    *,
    classes: str = "loose",
) -> None:
    """A head and rows; `said` is what stands on the button of each row, and what it is called. `act` is told
    the row, counted from 0.
    """
    lines = (_row(number, *one) for number, one in enumerate(zip(rows, said, strict=True)))
    first = f"<tr>{_cells('th', head)}</tr>"
    made = ui.html(f'<table class="{classes}">{first}{"".join(lines)}</table>', sanitize=False)
    made.on("click", lambda event: act(int(event.args)), js_handler=CHOOSES)


def _row(number: int, row: Sequence[str], said: tuple[str, str]) -> str:
    words, label = map(escape, said)
    given = f'type="button" class="link" data-row="{number}" aria-label="{label}"'
    return f"<tr>{_cells('td', row)}<td><button {given}>{words}</button></td></tr>"


def _cells(tag: str, row: Sequence[str]) -> str:
    return "".join(f"<{tag}>{escape(cell)}</{tag}>" for cell in row)
