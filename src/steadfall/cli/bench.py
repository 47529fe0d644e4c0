"""`steadfall bench`: a controller runs its own program against the plan's hot plant."""

from __future__ import annotations

from pathlib import Path

import click

from steadfall.app.bench import CAUTIONS, CONFIRM, Benched, How, again, bench, rehearse
from steadfall.app.controller import Controller
from steadfall.app.files import ready
from steadfall.app.plan import CoolingPlan, read
from steadfall.cli.controller import brought, takes_text
from steadfall.cli.guard import BAD, GOOD, Verb, print_json
from steadfall.cli.options import into_folder, with_json
from steadfall.cli.progress import Bar
from steadfall.cli.terminal import columns
from steadfall.cli.times import Time
from steadfall.interrupt import STOPPED, heard
from steadfall.report.text.bench import session_text
from steadfall.source import AskError

ONE_OF = "say --link FILE or ADDRESS, --rehearse, or --again DIR: one of the three"
NOT_REAL = "--code and --map go with --rehearse: a controller at a link runs its own program"


@click.command("bench", cls=Verb)
@click.argument("plan", metavar="PLAN")
@click.option(
    "--link", metavar="FILE|ADDRESS", help="The controller: a link file, opc.tcp:// or modbus.tcp://"
)
@click.option("--drive", is_flag=True, help="Write its inputs, after a typed confirmation; else only listen.")
@click.option(
    "--rehearse",
    "seed",
    metavar="[SEED]",
    type=click.IntRange(min=0),
    is_flag=False,
    flag_value=1,
    help="After PLAN: a soft controller in this process, whose scans take their time by a seed.",
)
@click.option(
    "--again",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Judge the session in a folder anew.",
)
@click.option("--scenario", metavar="NAME", help="A scenario of the plan; else the strongest call.")
@click.option("--for", "lasting", metavar="TIME", type=Time(1), default="10 min", help="How long (10 min).")
@into_folder("Keep the evidence there, cycle by cycle.")
@takes_text
@with_json()
def command(
    plan: str,
    link: str | None,
    drive: bool,
    seed: int | None,
    again: Path | None,
    scenario: str | None,
    lasting: float,
    out: Path | None,
    code: Path | None,
    names: Path | None,
    as_json: bool,
) -> int:
    """Hold a session: a controller runs its own program against the hot plant of PLAN.

    Outputs are read, the plant goes on, sensors are written; then it is judged whether any scans that PLAN
    allows explain what was seen. Exit code 1 when they do not, or when it could not be judged.
    """
    if sum(one is not None for one in (link, seed, again)) != 1:
        raise AskError(ONE_OF)
    if code is not None and seed is None:
        raise AskError(NOT_REAL)
    found = read(plan)
    how = How(scenario, lasting, drive=drive, out=out)
    if out is not None:
        ready(out)
    for caution in CAUTIONS:
        click.echo(f"CAUTION: {caution}", err=True)
    text = brought(found, code, names)
    confirmed = _confirmed() if drive and link else ""
    with Bar() as bar:
        made = _held(found, how, (link, confirmed), (seed, text), again, bar)
    if as_json:
        print_json(made.as_json())
    else:
        click.echo(session_text(_head(made), made.recording.ended, made.judged, made.cautions, columns()))
    return STOPPED if heard() else GOOD if made.good else BAD


def _held(
    found: CoolingPlan,
    how: How,
    at: tuple[str | None, str],
    soft: tuple[int | None, Controller | None],
    folder: Path | None,
    bar: Bar,
) -> Benched:
    link, confirmed = at
    seed, code = soft
    if folder is not None:
        return again(folder, found.plan, bar)
    if link is not None:
        return bench(found.plan, link, how, confirmed, bar)
    return rehearse(found.plan, how, code, seed or 0, bar)


def _confirmed() -> str:
    """What a person types before the first write."""
    words: str = click.prompt(f"type '{CONFIRM}' to go on", err=True, default="", show_default=False)
    return words.strip()


def _head(made: Benched) -> list[str]:
    head = made.recording.head
    return [
        made.plan.title,
        f"plan {made.plan.digest[:12]}, scenario '{head['scenario']}', {head['begun']}, at {head['link']}",
        "it drove the inputs" if head["drive"] else "it only listened",
    ]
