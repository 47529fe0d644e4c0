"""`steadfall size`: what each part of the works is asked for, and what it gives."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from steadfall.app.given.files import ready
from steadfall.app.plan import read
from steadfall.app.size import FOR_PAPERS, NEEDED, cold
from steadfall.cli.common.guard import BAD, GOOD, Verb, print_json
from steadfall.cli.common.options import into_folder, with_json
from steadfall.cli.common.progress import Bar
from steadfall.cli.common.terminal import columns
from steadfall.extras import there_are
from steadfall.report.text.sizes import sizes_text


@click.command("size", cls=Verb)
@click.argument("plan", metavar="PLAN")
@click.option(
    "--scenario",
    metavar="NAME",
    help="A scenario of the plan for what a batch uses; else the strongest call until every goal is reached.",
)
@into_folder("Write sizes.html and sizes.json there.")
@with_json()
def command(plan: str, scenario: str | None, out: Path | None, as_json: bool) -> int:
    """Size supplies, lines, valves, outlets, reliefs and drains of PLAN.

    Each is asked for something and gives something: flow and Kv by IEC 60534-2-1, cavitation, velocity,
    surge, steam and water out, openings and life; with the next standard size that would do. What a batch
    uses is that of a coarse prediction. Exit code 1 when anything is short.
    """
    found = read(plan)
    there_are(NEEDED)
    if out is not None:
        ready(out, FOR_PAPERS)
    if cold():
        click.echo("first run of this version: compiling the kernels, once, takes some 20 s", err=True)
    with Bar() as bar:
        sized = found.size(scenario, progress=bar)
    if as_json:
        print_json(sized.as_json())
    else:
        click.echo(sizes_text(sized.found, columns()))
    if out is not None:
        for path in sized.write(out, dated=date.today().isoformat()):
            click.echo(f"wrote {path}", err=True)
    return GOOD if sized.good else BAD
