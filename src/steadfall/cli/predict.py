"""`steadfall predict`: the main job, from a plan to a predicted cool-down."""

from __future__ import annotations

import os
from pathlib import Path

import click
from attrs import evolve

from steadfall.cli.guard import BAD, GOOD, print_json
from steadfall.cli.papers import write_papers
from steadfall.cli.progress import Bar
from steadfall.cli.terminal import columns
from steadfall.cli.text import brought, takes_text
from steadfall.compiled import cold
from steadfall.plan.read.whole import read_file
from steadfall.predict.result import Note
from steadfall.predict.run import coarse, fine, predict
from steadfall.predict.spread import Survey
from steadfall.predict.survey.surveyed import surveyed
from steadfall.report.text.prediction import summary


@click.command("predict")
@click.argument("plan", metavar="PLAN")
@click.option(
    "--scenario",
    metavar="NAME",
    help="A scenario of the plan; else the strongest call until every goal is reached.",
)
@click.option(
    "--out",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write the report and the trace there.",
)
@click.option(
    "--coarse", "quick", is_flag=True, help="Fewer cells and longer steps: several times faster, less exact."
)
@click.option(
    "--jitter",
    metavar="SEED",
    type=click.IntRange(min=0),
    help="Let every scan take its own time up to the longest, by this seed.",
)
@click.option(
    "--band",
    "runs",
    metavar="[N]",
    type=click.IntRange(10, 10_000),
    is_flag=False,
    flag_value=200,
    help=(
        "After PLAN: run it N times (200) within its tolerances and the model's own uncertainty; bands "
        "and odds."
    ),
)
@takes_text
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON (names: docs/json.md).")
def command(
    plan: str,
    scenario: str | None,
    out: Path | None,
    quick: bool,
    jitter: int | None,
    runs: int | None,
    code: Path | None,
    names: Path | None,
    as_json: bool,
) -> int:
    """Predict the cool-down of PLAN: limits, goals, water, air, openings, balances.

    A prediction before fitting to the real plant is an estimate. Exit code 1 when a limit or a rating is
    broken, a goal is missed or the books do not close.
    """
    if code and runs is not None:
        raise click.UsageError("--band runs the plan's own logic; it does not go with --code")
    found = read_file(plan)
    network = brought(found, code, names) if code else None
    settings = coarse(found, jitter) if quick else fine(found, jitter)
    if cold():
        click.echo("first run of this version: compiling the kernels, once, takes some 20 s", err=True)
    with Bar() as bar:
        result = predict(found, scenario, settings, bar, network)
    if code:
        said = Note("", f"the logic is that of {code.name}, not the plan's own")
        result = evolve(result, notes=(said, *result.notes))
    if runs is not None:
        with Bar() as bar:
            result = surveyed(result, Survey(runs, workers=os.cpu_count() or 1), bar)
    if as_json:
        print_json(result.as_json())
    else:
        click.echo(summary(result, columns()))
    if out is not None:
        for path in write_papers(result, out):
            click.echo(f"wrote {path}", err=True)
    return GOOD if result.good else BAD
