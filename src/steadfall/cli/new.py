"""`steadfall new`: a commented plan to start from."""

from __future__ import annotations

from pathlib import Path

import click

from steadfall.app.new import PATTERNS, new
from steadfall.cli.guard import GOOD, Verb, print_json
from steadfall.cli.options import with_json


@click.command("new", cls=Verb)
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option(
    "--pattern", type=click.Choice(PATTERNS), default=PATTERNS[0], show_default=True, help="The plant."
)
@with_json("Print what was written as JSON.")
def command(folder: Path, pattern: str, as_json: bool) -> int:
    """Write DIR/plan.yaml, a commented starter plan that checks clean and predicts.

    An existing plan is never overwritten. For a plan of the logic alone, take out of it all that speaks of
    the plant: `bodies`, `gas_streams`, `links`, `limits`, `tolerances`, of circuit types `path`, `outlet`,
    `relief`, of valves `kv`, `line`, of circuits `host`; and what `measures` it.
    """
    found = new(folder, pattern)
    if as_json:
        print_json(found.as_json())
        return GOOD
    path = found.path
    click.echo(f"wrote {path}")
    click.echo(
        f"next: steadfall check {path}; then: steadfall predict {path} --out {folder / 'report'}", err=True
    )
    return GOOD
