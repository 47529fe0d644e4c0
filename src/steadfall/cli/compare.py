"""`steadfall compare`: a plan and another, or a controller's text: equal for ever, or the shortest
parting.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from steadfall.app.compare import Compared
from steadfall.app.given.controller import Controller
from steadfall.app.given.files import ready
from steadfall.app.plan import CoolingPlan, read
from steadfall.cli.common.guard import BAD, GOOD, Verb, left, print_json
from steadfall.cli.common.options import into_folder, with_json
from steadfall.cli.common.progress import Bar
from steadfall.cli.common.times import Time
from steadfall.report.text.comparison import effect_text, told
from steadfall.source import AskError

TEXTS = (".st", ".txt")


@click.command("compare", cls=Verb)
@click.argument("first", metavar="PLAN")
@click.argument("second", metavar="OTHER")
@click.option(
    "--map",
    "names",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Lines `name in OTHER: name in PLAN`; else the names that emit gives, or guesses.",
)
@into_folder("Write compare.html and compare.json there.")
@click.option(
    "--limit",
    metavar="TIME",
    type=Time(least=0.1),
    help="Stop after so long, 20 s or 4:40; what is not settled by then is unknown. No end if left out.",
)
@click.option(
    "--effort",
    metavar="TIMES",
    default=1.0,
    type=click.FloatRange(min=0.01),
    help="How much work the comparison is worth: 2 is twice the usual.",
)
@click.option(
    "--predict",
    "predicted",
    is_flag=True,
    help="Predict both too: what the revision does to time, shock, pressure and water.",
)
@with_json()
def command(
    first: str,
    second: str,
    names: Path | None,
    out: Path | None,
    limit: float | None,
    effort: float,
    predicted: bool,
    as_json: bool,
) -> int:
    """Compare what the controllers of PLAN and OTHER do: equal for ever, or how they differ.

    OTHER is a plan, or structured text from the controller (a name that ends with .st or .txt). Exit code 1
    when they differ, when only one of them has some output, or when neither is known.
    """
    if _is_text(first):
        raise AskError(
            f"{first} is structured text; name the plan first, then the text that stands against it"
        )
    one = read(first)
    if out is not None:
        ready(out)
    with Bar() as bar:
        if _is_text(second):
            other: CoolingPlan | Controller = one.bring(second, names)
            names = None
        else:
            other = read(second)
        found = one.compare(
            other, names=names, effort=effort, limit=left(limit), predicted=predicted, progress=bar
        )
    if as_json:
        print_json(found.as_json())
    else:
        click.echo(_text(found))
    if out is not None:
        stored, page = found.write(out, dated=date.today().isoformat())
        click.echo(f"wrote {stored} and {page}", err=True)
    return GOOD if found.good else BAD


def _is_text(name: str) -> bool:
    return Path(name).suffix.lower() in TEXTS


def _text(of: Compared) -> str:
    text = told(of.found, of.sides, of.changed, of.shown(1))
    if of.effect is not None:
        text += "\n\n" + effect_text(of.effect, (of.sides[0].title, of.sides[1].title))
    return f"{of.same}\n{text}" if of.same else text
