"""A controller's text in place of the plan's own logic: the two options that take it, and what is told of
it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.prove.system.overflow import overflows
from steadfall.st.bring import bring

MOST_TOLD = 6


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


def brought(plan: Plan, code: Path, names: Path | None) -> Network:
    """The network of a controller's text in the plan's names; whole numbers that may pass their type are
    told.
    """
    network = bring(plan, code, names)
    found = overflows(network)
    for one in found[:MOST_TOLD]:
        click.echo(
            f"{code.name}: {one.sentence}; a controller mostly wraps there, here it counts on", err=True
        )
    if len(found) > MOST_TOLD:
        click.echo(f"{code.name}: and {len(found) - MOST_TOLD} more such", err=True)
    return network
