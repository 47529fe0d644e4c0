"""`steadfall emit`: the program for the controller and the lists that go with it."""

from __future__ import annotations

from pathlib import Path

import click

from steadfall.app.given.files import ready
from steadfall.app.plan import read
from steadfall.cli.common.guard import GOOD, Verb, print_json
from steadfall.cli.common.options import into_folder, with_json
from steadfall.cli.common.progress import Bar


@click.command("emit", cls=Verb)
@click.argument("plan", metavar="PLAN")
@into_folder("The folder to write into.", required=True)
@click.option(
    "--proof",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where `prove --out` stored a proof of PLAN: its verdicts go into the description.",
)
@click.option(
    "--with",
    "extras",
    metavar="WORDS",
    default="",
    help="What the program carries for `bench`, with commas between: recorder, heartbeat.",
)
@with_json("Print what was written as JSON.")
def command(plan: str, out: Path, proof: Path | None, extras: str, as_json: bool) -> int:
    """Write PLAN as structured text (IEC 61131-3), with a name map and lists.

    Lists: inputs and outputs, cause and effect, alarms, description of operation. The same plan gives the
    same bytes.
    """
    found = read(plan)
    words = tuple(word.strip() for word in extras.split(",") if word.strip())
    ready(out)
    with Bar() as bar:
        emitted = found.emit(proof, bar, words).write(out)
    if as_json:
        print_json(emitted.as_json())
    else:
        for path in emitted.written:
            click.echo(f"wrote {path}")
    if emitted.warning:
        click.echo(f"warning: {emitted.warning}", err=True)
    return GOOD
