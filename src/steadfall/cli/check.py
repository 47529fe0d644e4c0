"""`steadfall check`: every problem of a plan in one run."""

from __future__ import annotations

import click

from steadfall.cli.guard import BAD, GOOD, count, print_json, problem_json
from steadfall.lists.panel import panel
from steadfall.plan.check.advice import advice
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.source import PlanError


@click.command("check")
@click.argument("plan", metavar="PLAN")
@click.option("--json", "as_json", is_flag=True, help="Print the problems and the advice as JSON.")
def command(plan: str, as_json: bool) -> int:
    """Read PLAN and list every problem with line and column, then advice that does not fail the check."""
    try:
        found = read_file(plan)
        panel(found)
    except PlanError as error:
        if as_json:
            print_json(
                {
                    "steadfall": 1,
                    "good": False,
                    "problems": [problem_json(p) for p in error.problems],
                    "advice": [],
                }
            )
        else:
            click.echo(error.listing())
            click.echo(count(error.problems))
        return BAD
    notes = advice(found)
    if as_json:
        print_json(
            {"steadfall": 1, "good": True, "problems": [], "advice": [problem_json(note) for note in notes]}
        )
        return GOOD
    for note in notes:
        click.echo(f"advice: {note.sentence()}")
    click.echo(f"{plan}: no problems; {summary(found)}")
    return GOOD


def summary(plan: Plan) -> str:
    """What the plan holds, in one line."""
    parts = (
        (len(plan.circuits), "circuit"),
        (len(plan.bodies) + len(plan.gas_streams), "body", "bodies"),
        (sum(len(plan.type_of(name).valves) for name in plan.circuits), "valve"),
        (len(plan.inputs), "input"),
        (len(plan.limits), "limit"),
        (len(plan.goals), "goal"),
        (len(plan.requirements), "requirement"),
    )
    return ", ".join(
        f"{n} {words[0] if n == 1 else (words[1:] or (words[0] + 's',))[0]}" for n, *words in parts
    )
