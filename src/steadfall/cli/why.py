"""`steadfall why`: why a signal has its value at a moment, back to the inputs."""

from __future__ import annotations

from pathlib import Path

import click

from steadfall.app.plan import read
from steadfall.cli.common.guard import GOOD, Verb, print_json
from steadfall.cli.common.options import with_json
from steadfall.cli.common.progress import Bar
from steadfall.cli.common.times import Time


@click.command("why", cls=Verb)
@click.argument("plan", metavar="PLAN")
@click.option("--signal", required=True, metavar="NAME", help="A valve, a stage, any signal: upper.mist.")
@click.option(
    "--at",
    metavar="TIME",
    type=Time(),
    help="The moment: 20 s, 12.34s, 4:40, 1:04:40; of a proof, else where it breaks.",
)
@click.option("--scenario", metavar="NAME", help="A scenario of the plan; else the strongest call.")
@click.option(
    "--trace",
    "file",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="A trace instead: JSON, the events.csv of a prediction, or the proof.json of a proof.",
)
@click.option("--only", metavar="NAME", help="Of a proof: the broken requirement whose run is meant.")
@with_json("Print the answer as JSON.")
def command(
    plan: str,
    signal: str,
    at: float | None,
    scenario: str | None,
    file: Path | None,
    only: str | None,
    as_json: bool,
) -> int:
    """Say why a signal of PLAN has its value at a moment, and what would make it otherwise.

    Without --trace the plan is predicted up to the moment, and the logic replayed from what the controller
    saw.
    """
    with Bar() as bar:
        answer = read(plan).why(signal, at, scenario=scenario, trace=file, only=only, progress=bar)
    for remark in answer.remarks:
        click.echo(remark, err=True)
    if as_json:
        print_json(answer.as_json())
    else:
        click.echo("\n".join(answer.sentences()))
    return GOOD
