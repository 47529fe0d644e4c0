"""`steadfall open`: everything else, on one page in a browser."""

from __future__ import annotations

import webbrowser
from pathlib import Path

import click

from steadfall import extras
from steadfall.cli.common.guard import GOOD, Verb, print_json
from steadfall.cli.common.options import with_json

WARNING = (
    "warning: other machines can reach this page, and what they send and see is not encrypted; whoever has "
    "the address may change the plan"
)


@click.command("open", cls=Verb)
@click.argument("plan", metavar="[PLAN]", required=False, type=click.Path(path_type=Path))
@click.option("--host", default="127.0.0.1", show_default=True, help="Where to listen: this machine alone.")
@click.option("--port", default=0, type=click.IntRange(0, 65535), help="The port; else one that is free.")
@click.option("--quiet", is_flag=True, help="Open no browser, print the address alone.")
@with_json("Print address and views as JSON, then serve.")
def command(plan: Path | None, host: str, port: int, quiet: bool, as_json: bool) -> int:
    """Serve one page on which PLAN is written, predicted and proved. Ctrl-C ends it.

    The page is for this machine alone. The address that is printed carries a word which only you have;
    keep it to yourself. What is typed is kept at once, also when the server is killed.
    """
    extras.there_are(["nicegui"])
    door = extras.opened("steadfall.web.serve")
    made = door.page(door.session(plan), host, port)
    address = made.address.url("/plan" if plan else "/")
    if not made.address.alone:
        click.echo(WARNING, err=True)

    def ready() -> None:
        if as_json:
            print_json(door.told(made.address, address))
        else:
            click.echo(f"open {address}")
        if not quiet:
            webbrowser.open(address)

    made.serve(ready)
    return GOOD
