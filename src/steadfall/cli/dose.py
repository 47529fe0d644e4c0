"""`steadfall dose`: the doses that reach the goals soonest, with least water, or with least wear."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from steadfall.app.dose import AIMS, FOR_PAGE, NEEDED, TRIES, Dosed, cold, rewrite, share
from steadfall.app.given.files import ready
from steadfall.app.plan import read
from steadfall.cli.common.guard import BAD, GOOD, Verb, print_json
from steadfall.cli.common.options import into_folder, on_cluster, with_json
from steadfall.cli.common.progress import Bar
from steadfall.cli.common.terminal import columns
from steadfall.extras import there_are
from steadfall.interrupt import STOPPED, WORDS
from steadfall.report.text.doses import doses_text


@click.command("dose", cls=Verb)
@click.argument("plan", metavar="PLAN")
@click.option(
    "--for",
    "aim",
    type=click.Choice(AIMS),
    default=AIMS[0],
    show_default=True,
    help="What the doses are to be good for.",
)
@click.option(
    "--odds",
    metavar="'95 %'",
    help="Look for doses that keep the limits with these odds, within the plan's tolerances.",
)
@click.option(
    "--tries",
    metavar="N",
    type=click.IntRange(20, 100_000),
    default=TRIES,
    show_default=True,
    help="How many cool-downs are tried.",
)
@click.option("--write", "rewrites", is_flag=True, help="Put the numbers into PLAN, once it is proved again.")
@into_folder("Write doses.html and doses.json there.")
@on_cluster
@with_json()
def command(
    plan: str,
    aim: str,
    odds: str | None,
    tries: int,
    rewrites: bool,
    out: Path | None,
    cluster: str,
    as_json: bool,
) -> int:
    """Find open and shut times of the doses of PLAN, and times and temperatures of its climbs.

    Inside every limit, rating and shortest time; searched on the coarse grid and confirmed on the fine ones.
    The answer says what binds, what more would buy, and the odds within the tolerances. Exit code 1 when no
    doses keep everything, with the odds asked for, or a requirement refuses what was to be written. Ctrl-C
    gives the best so far.
    """
    wanted = None if odds is None else share(odds)
    found = read(plan)
    there_are(NEEDED)
    if out is not None:
        ready(out, FOR_PAGE)
    if cold():
        click.echo("first run of this version: compiling the kernels, once, takes some 20 s", err=True)
    with Bar() as bar:
        made = found.dose(aim, odds=wanted, tries=tries, cluster=cluster, progress=bar)
    if as_json:
        print_json(made.as_json())
    else:
        click.echo(doses_text(made.found, made.by_hand.found if made.by_hand else None, columns()))
    if out is not None:
        for path in made.write(out, dated=date.today().isoformat()):
            click.echo(f"wrote {path}", err=True)
    if made.found.stopped:
        click.echo(WORDS, err=True)
        return STOPPED
    if rewrites and made.good:
        return _write(made, Path(plan))
    if rewrites:
        click.echo("not written: no doses were found that keep all that is asked", err=True)
    return GOOD if made.good else BAD


def _write(made: Dosed, plan: Path) -> int:
    with Bar() as bar:
        done = rewrite(made, plan, bar)
    click.echo(done.change, err=True)
    if not done.written:
        click.echo(f"not written; refuted: {'; '.join(done.refusals)}", err=True)
        return BAD
    if done.unknown:
        click.echo(f"neither proved nor refuted: {', '.join(done.unknown)}", err=True)
    click.echo(f"wrote {plan}", err=True)
    return GOOD
