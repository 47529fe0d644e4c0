"""`steadfall check`: every problem of a plan in one run."""

from __future__ import annotations

import click

from steadfall.app.check import check
from steadfall.cli.common.guard import GOOD, Verb, count, print_json, whose
from steadfall.cli.common.options import with_json
from steadfall.report.words.plan import contents


@click.command("check", cls=Verb)
@click.argument("plan", metavar="PLAN")
@with_json("Print the problems and the advice as JSON.")
def command(plan: str, as_json: bool) -> int:
    """Read PLAN and list every problem with line and column, then advice that does not fail the check."""
    found = check(plan)
    if as_json:
        print_json(found.as_json())
    elif found.error:
        click.echo(found.error.listing())
        click.echo(count(found.problems))
    else:
        if found.advice:
            click.echo(found.advised())
        click.echo(f"{plan}: no problems; {contents(found.plan) if found.plan else ''}")
    return GOOD if found.good else whose(found.problems)
