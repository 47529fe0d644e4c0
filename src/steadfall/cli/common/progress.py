"""The progress bar on stderr: one for every verb, and none where stderr is no terminal."""

from __future__ import annotations

from rich.console import Console
from rich.progress import BarColumn, ProgressColumn, Task, TextColumn
from rich.progress import Progress as Display
from rich.text import Text

from steadfall.progress import Progress

WIDEST = 60  # letters of what is going on


class _HowFar(ProgressColumn):
    """So many of so many, or per cent of a whole; nothing while nobody knows."""

    def render(self, task: Task) -> Text:
        return Text(how_far(task.completed, task.total))


def how_far(done: float, of: float | None) -> str:
    """`12/104`, `40 %`, or nothing where nobody knows of how much."""
    if not of:
        return ""
    return f"{done:.0f}/{of:.0f}" if of > 1 else f"{100 * done / of:.0f} %"


class Bar(Progress):
    """Shows how far it is while it is entered."""

    def __init__(self, console: Console | None = None) -> None:
        console = console or Console(stderr=True)
        columns = (TextColumn("{task.description}"), BarColumn(), _HowFar())
        self._display = Display(*columns, console=console, transient=True, disable=not console.is_terminal)
        self._task = self._display.add_task("getting ready", total=None)

    def __enter__(self) -> Bar:
        self._display.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._display.stop()

    def tell(self, done: float, of: float | None, words: str) -> None:
        """Show it."""
        self._display.update(self._task, completed=done, total=of, description=words[:WIDEST])
