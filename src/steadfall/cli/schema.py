"""`steadfall schema`: what an editor needs to complete and check a plan as it is typed."""

from __future__ import annotations

import click

from steadfall.cli.guard import print_json
from steadfall.plan.keys.schema import schema


@click.command("schema")
def command() -> int:
    """Print the JSON Schema of a plan (draft 2020-12)."""
    print_json(schema())
    return 0
