"""The two options by which a verb takes a controller's text in place of the plan's own logic."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click


def takes_text(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add `--code` and `--map` to a verb."""
    file = click.Path(path_type=Path, dir_okay=False)
    code = click.option("--code", metavar="FILE", type=file, help="A controller's structured text in the plan's place.")
    names = click.option(
        "--map",
        "names",
        metavar="FILE",
        type=file,
        help="Its lines `name in the text: signal`; else the names that emit gives.",
    )
    made: Callable[..., Any] = code(names(command))
    return made
