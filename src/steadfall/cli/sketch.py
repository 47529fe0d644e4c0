"""`steadfall sketch`: a plan as a picture."""

from __future__ import annotations

from pathlib import Path

import click

from steadfall.app.plan import read
from steadfall.cli.common.guard import GOOD, Verb, print_json
from steadfall.cli.common.options import with_json


@click.command("sketch", cls=Verb)
@click.argument("plan", metavar="PLAN")
@click.option(
    "--out", metavar="FILE", type=click.Path(path_type=Path, dir_okay=False), help="The SVG file to write."
)
@click.option("--stages", is_flag=True, help="Draw the stages: a row a valve, a column a stage.")
@with_json("Print what is drawn, and where, as JSON.")
def command(plan: str, out: Path | None, stages: bool, as_json: bool) -> int:
    """Draw the piping of PLAN as SVG: supplies, valves at rest, circuits, bodies, sensors at their places.

    Symbols are those of ISA-5.1 and ISO 14617. With --stages the sequence instead: in each cell of the table
    a strip to scale, and what ends each stage. Without --out the picture goes to stdout.
    """
    drawn = read(plan).sketch(stages=stages)
    if out is not None:
        click.echo(f"wrote {drawn.write(out)}", err=True)
    if as_json:
        print_json(drawn.as_json())
    elif out is None:
        click.echo(drawn.svg, nl=False)
    return GOOD
