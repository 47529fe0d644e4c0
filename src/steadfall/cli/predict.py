"""`steadfall predict`: the main job, from a plan to a predicted cool-down."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from steadfall.app.given.files import ready
from steadfall.app.plan import read
from steadfall.app.predict import FEWEST, MOST, NEEDED, NOT_WITH_CODE, cold, write_papers
from steadfall.cli.common.controller import brought, takes_text
from steadfall.cli.common.guard import BAD, GOOD, Verb, print_json
from steadfall.cli.common.options import into_folder, on_cluster, with_json
from steadfall.cli.common.progress import Bar
from steadfall.cli.common.terminal import columns
from steadfall.report.text.prediction import summary
from steadfall.source import AskError


@click.command("predict", cls=Verb)
@click.argument("plan", metavar="PLAN")
@click.option(
    "--scenario",
    metavar="NAME",
    help="A scenario of the plan; else the strongest call until every goal is reached.",
)
@into_folder("Write the report and the trace there.")
@click.option(
    "--coarse",
    "quick",
    is_flag=True,
    help="Fewer cells, longer steps, no finer grids beside: many times faster, less exact.",
)
@click.option(
    "--cells",
    metavar="N",
    type=click.IntRange(FEWEST, MOST),
    help="Cut each circuit into N cells (20); the work grows with N.",
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
@on_cluster
@takes_text
@with_json()
def command(
    plan: str,
    scenario: str | None,
    out: Path | None,
    quick: bool,
    cells: int | None,
    jitter: int | None,
    runs: int | None,
    cluster: str,
    code: Path | None,
    names: Path | None,
    as_json: bool,
) -> int:
    """Predict the cool-down of PLAN: limits, goals, water, air, openings, balances.

    A prediction before fitting to the real plant is an estimate. The same is run on finer grids beside it:
    where they say otherwise, their figure stands beside, and what hangs on the grid is NOT RESOLVED. Exit
    code 1 when a limit or a rating is broken, a goal is missed, any of it is not resolved, the books do
    not close, PLAN has no limit and no goal, or with --band fewer than 95 % of the runs keep all of it.
    """
    if code and runs is not None:
        raise AskError(NOT_WITH_CODE)
    found = read(plan)
    if out is not None:
        ready(out, NEEDED)
    controller = brought(found, code, names)
    if cold():
        click.echo("first run of this version: compiling the kernels, once, takes some 20 s", err=True)
    with Bar() as bar:
        result = found.predict(
            scenario,
            quick=quick,
            cells=cells,
            jitter=jitter,
            band=runs,
            cluster=cluster,
            code=controller,
            progress=bar,
        )
    if as_json:
        print_json(result.as_json())
    else:
        click.echo(summary(result, columns()))
    if out is not None:
        for path in write_papers(result, out, dated=date.today().isoformat()):
            click.echo(f"wrote {path}", err=True)
    return GOOD if result.good else BAD
