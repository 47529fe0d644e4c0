"""A progress bar on stderr while the plant runs."""

from __future__ import annotations

import sys
from collections.abc import Callable

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

from steadfall.predict.run import Watcher


def cooling(seconds: float) -> str:
    """The plant's own time, in words."""
    minutes, rest = divmod(int(seconds), 60)
    return f"cooling, plant time {minutes}:{rest:02d}"


class progress:  # noqa: N801  (used like a function)
    """A progress bar on stderr while the plant runs; silent when stderr is not a terminal."""

    def __init__(self, tell: Callable[[float], str] = cooling) -> None:
        self._tell = tell
        self._bar = Progress(
            TextColumn("{task.description}"),
            BarColumn(),
            TaskProgressColumn(),
            console=Console(stderr=True),
            transient=True,
            disable=not sys.stderr.isatty(),
        )

    def __enter__(self) -> Watcher:
        self._bar.start()
        task = self._bar.add_task("getting ready", total=1.0)

        def watcher(seconds: float, share: float) -> None:
            self._bar.update(task, completed=share, description=self._tell(seconds))

        return watcher

    def __exit__(self, *_: object) -> None:
        self._bar.stop()
