"""`steadfall schema`: what an editor needs to complete and check a plan as it is typed."""

from __future__ import annotations

import click

from steadfall.app.schema import as_json as schema_as_json
from steadfall.app.schema import schema
from steadfall.cli.common.guard import GOOD, Verb, print_json
from steadfall.cli.common.options import with_json


@click.command("schema", cls=Verb)
@with_json("Print it under the head that every result has.")
def command(as_json: bool) -> int:
    """Print the JSON Schema of a plan (draft 2020-12)."""
    print_json(schema_as_json() if as_json else schema())
    return GOOD
