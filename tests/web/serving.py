"""`steadfall open` under way on a copy of the press, as a person begins it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

from attrs import frozen

from steadfall.compiled import FOLDER
from tests.examples import EXAMPLES

PATIENCE_S = 120.0  # only how long a failing test waits


@frozen
class Served:
    """A server under way, and what it printed."""

    process: subprocess.Popen[str]
    printed: dict[str, object]
    plan: Path

    @property
    def url(self) -> str:
        """The address with its word."""
        return str(self.printed["address"])

    @property
    def base(self) -> str:
        """The address without it."""
        return "http://" + urlsplit(self.url).netloc


@contextmanager
def warm(folder: Path) -> Iterator[Served]:
    """The same with kernels that the suite has compiled already, and nothing else kept elsewhere."""
    cache = folder / "cache"
    cache.mkdir()
    (cache / FOLDER.name).symlink_to(FOLDER)
    with serving(folder, {"STEADFALL_CACHE": str(cache)}) as served:
        yield served


@contextmanager
def serving(folder: Path, own: Mapping[str, str] | None = None, example: str = "press") -> Iterator[Served]:
    """Begin it in a folder, and end it; nothing is kept elsewhere unless other surroundings are given."""
    plan = folder / f"{example}.yaml"
    plan.write_bytes(EXAMPLES[example].read_bytes())
    words = [sys.executable, "-m", "steadfall", "open", str(plan), "--quiet", "--json"]
    kept = {"STEADFALL_CACHE": str(folder / "cache")} if own is None else own
    usual = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True, env={**usual, **kept}) as process:
        assert process.stdout is not None
        printed: list[str] = []
        while not printed or printed[-1] not in ("}\n", ""):  # "": it has ended
            printed.append(process.stdout.readline())
        try:
            yield Served(process, json.loads("".join(printed)), plan)
        finally:
            process.kill()
            process.wait(PATIENCE_S)
