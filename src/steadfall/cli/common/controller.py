"""A controller's text in place of the plan's own logic: the two options that take it, and what is told of
it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from steadfall.app.given.controller import Controller
from steadfall.app.plan import CoolingPlan


def takes_text(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add `--code` and `--map` to a verb."""
    file = click.Path(path_type=Path, dir_okay=False)
    code = click.option(
        "--code", metavar="FILE", type=file, help="A controller's structured text in the plan's place."
    )
    names = click.option(
        "--map",
        "names",
        metavar="FILE",
        type=file,
        help="Its lines `name in the text: signal`; else the names that emit gives.",
    )
    made: Callable[..., Any] = code(names(command))
    return made


def brought(plan: CoolingPlan, code: Path | None, names: Path | None) -> Controller | None:
    """The controller's text in the plan's names, where one is given; what is odd in it is told."""
    if code is None:
        return None
    found = plan.bring(code, names)
    for remark in found.remarks:
        click.echo(remark, err=True)
    return found
