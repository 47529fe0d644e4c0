"""Options that several verbs have, each said once: where papers go, JSON, a cluster for many runs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

Option = Callable[[Callable[..., Any]], Callable[..., Any]]
RESULT = "Print the result as JSON (names: docs/json.md)."

on_cluster: Option = click.option(
    "--cluster",
    metavar="ADDRESS",
    default="",
    help="Do the runs on the Dask cluster of this scheduler, as tcp://10.0.0.5:8786.",
)


def into_folder(words: str, *, required: bool = False) -> Option:
    """`--out DIR`: the folder that papers are written into."""
    folder = click.Path(path_type=Path, file_okay=False)
    return click.option("--out", metavar="DIR", required=required, type=folder, help=words)


def with_json(words: str = RESULT) -> Option:
    """`--json`: what is printed on stdout is for programs."""
    return click.option("--json", "as_json", is_flag=True, help=words)
