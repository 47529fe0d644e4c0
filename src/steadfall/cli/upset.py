"""`steadfall upset`: every single failure, one at a time, and what comes of it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from steadfall.app.given.files import ready
from steadfall.app.plan import CoolingPlan, read
from steadfall.app.predict import NEEDED as FOR_TRACES
from steadfall.app.predict import write_papers
from steadfall.app.upset import NEEDED, Upsets, cold
from steadfall.cli.common.guard import BAD, GOOD, Verb, print_json
from steadfall.cli.common.options import into_folder, on_cluster, with_json
from steadfall.cli.common.progress import Bar
from steadfall.cli.common.terminal import columns
from steadfall.interrupt import STOPPED, WORDS
from steadfall.report.text.prediction import summary
from steadfall.report.text.upset import run_strips, upset_text


@click.command("upset", cls=Verb)
@click.argument("plan", metavar="PLAN")
@click.option(
    "--only",
    metavar="NAME",
    multiple=True,
    help="Only the failures of this thing (upper.mist), or this one ('upper.mist stuck open').",
)
@click.option(
    "--show",
    "name",
    metavar="ROW",
    help="One row in full, on the fine grid, by its name: 'upper.mist stuck open in soaking'.",
)
@into_folder("Write upset.html and upset.json there; with --show the report of that run.")
@on_cluster
@with_json()
def command(
    plan: str, only: tuple[str, ...], name: str | None, out: Path | None, cluster: str, as_json: bool
) -> int:
    """Try every single failure of PLAN, one at a time, at the start, in every stage and at each change.

    A valve that sticks or leaks, a supply lost, a sensor that lies, power lost and back: the plan's own logic
    answers, the plant shows the consequence. The worst come first, and what nobody notices is said. It
    supports a study by licensed practice and does not replace one. Exit code 1 when a limit or a rating is
    broken, or water left, and nothing notices it. Ctrl-C gives what is known by then.
    """
    found = read(plan)
    if out is not None:
        ready(out, FOR_TRACES if name else NEEDED)
    if cold():
        click.echo("first run of this version: compiling the kernels, once, takes some 20 s", err=True)
    if name is not None:
        return _one(found, name, out, as_json)
    with Bar() as bar:
        made = found.upset(*only, cluster=cluster, progress=bar)
    return _table(made, out, as_json)


def _table(made: Upsets, out: Path | None, as_json: bool) -> int:
    if as_json:
        print_json(made.as_json())
    else:
        click.echo(upset_text(made.found, columns()))
    if out is not None:
        for path in made.write(out, dated=date.today().isoformat()):
            click.echo(f"wrote {path}", err=True)
    if made.found.stopped:
        click.echo(WORDS, err=True)
        return STOPPED
    return GOOD if made.good else BAD


def _one(plan: CoolingPlan, name: str, out: Path | None, as_json: bool) -> int:
    with Bar() as bar:
        result = plan.show_upset(name, progress=bar)
    if as_json:
        print_json(result.as_json())
    else:
        click.echo(f"{run_strips(result, columns())}\n\n{summary(result, columns())}")
    if out is not None:
        for path in write_papers(result, out, dated=date.today().isoformat()):
            click.echo(f"wrote {path}", err=True)
    return GOOD if result.good else BAD
