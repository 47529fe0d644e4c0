"""`steadfall bench`: a controller runs its own program against the plan's hot plant."""

from __future__ import annotations

from pathlib import Path

import click

from steadfall.app.bench import CAUTIONS, Benched, How, People, again, bench, new_keys, rehearse
from steadfall.app.cases import try_cases
from steadfall.app.given.consent import CONFIRM
from steadfall.app.given.controller import Controller
from steadfall.app.given.files import ready
from steadfall.app.plan import CoolingPlan, read
from steadfall.cli.common.controller import brought, takes_text
from steadfall.cli.common.guard import BAD, GOOD, Verb, print_json
from steadfall.cli.common.options import into_folder, with_json
from steadfall.cli.common.progress import Bar
from steadfall.cli.common.terminal import columns
from steadfall.cli.common.times import Time
from steadfall.interrupt import STOPPED, heard
from steadfall.report.text.bench import session_text, tried_text
from steadfall.source import AskError

ONE_OF = "say --link FILE, ADDRESS or rehearsal, or --again DIR: one of the two"
NO_PLAN = "say the PLAN, or --new-keys DIR"
NO_CASES = "--cases goes with --link and, where a controller is there, with --drive"
REHEARSAL = "rehearsal"  # or with the seed of its scan times: rehearsal:7
NOT_REAL = "--code and --map go with --link rehearsal: a controller at a link runs its own program"


@click.command("bench", cls=Verb)
@click.argument("plan", metavar="PLAN", required=False)
@click.option(
    "--link",
    metavar="FILE|ADDRESS",
    help="The controller: a link file, opc.tcp:// or modbus.tcp://; `rehearsal`: one in this process.",
)
@click.option("--drive", is_flag=True, help="Write its inputs, after a typed confirmation; else only listen.")
@click.option(
    "--again",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Judge the session in a folder anew.",
)
@click.option("--for", "lasting", metavar="TIME", type=Time(1), default="10 min", help="How long (10 min).")
@into_folder("Keep the evidence there, cycle by cycle.")
@click.option(
    "--cases",
    "word",
    metavar="[WORD|DIR]",
    is_flag=False,
    flag_value="",
    help="After PLAN: a session for each of its cases (with WORD in its name), or for what a proof refutes.",
)
@click.option(
    "--new-keys",
    "keys",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Without PLAN: make a key and a certificate for OPC UA there.",
)
@takes_text
@with_json()
def command(
    plan: str | None,
    link: str | None,
    drive: bool,
    again: Path | None,
    lasting: float,
    out: Path | None,
    word: str | None,
    keys: Path | None,
    code: Path | None,
    names: Path | None,
    as_json: bool,
) -> int:
    """Hold a session: a controller runs its own program against the hot plant of PLAN.

    Outputs are read, the plant goes on, sensors are written; then it is judged whether any scans that PLAN
    allows explain what was seen. Exit code 1 when they do not, or when it could not be judged.
    """
    if keys is not None:
        return _keys(keys, as_json=as_json)
    if plan is None:
        raise AskError(NO_PLAN)
    seed = _seed(link or "")
    if (link is None) is (again is None):
        raise AskError(ONE_OF)
    if word is not None and (again or (seed is None and not drive)):
        raise AskError(NO_CASES)
    if code is not None and seed is None:
        raise AskError(NOT_REAL)
    found = read(plan)
    how = How(lasting_s=lasting, drive=drive, out=out)
    if out is not None:
        ready(out)
    for caution in CAUTIONS:
        click.echo(f"CAUTION: {caution}", err=True)
    text = brought(found, code, names)
    people = People(_confirmed() if drive and seed is None else "", _asked, _known)
    if word is not None:
        return _cases(found, how, word, (link, people), (seed, text), as_json=as_json)
    with Bar() as bar:
        made = _held(found, how, (link, people), (seed, text), again, bar)
    if as_json:
        print_json(made.as_json())
    else:
        click.echo(session_text(_head(made), made.recording.ended, made.judged, made.cautions, columns()))
    return STOPPED if heard() else GOOD if made.good else BAD


def _cases(
    found: CoolingPlan,
    how: How,
    word: str,
    at: tuple[str | None, People],
    soft: tuple[int | None, Controller | None],
    *,
    as_json: bool,
) -> int:
    """A session for each case; what is said of each as soon as it is over."""

    def hold(one: How) -> Benched:
        with Bar() as bar:
            made = _held(found, one, at, soft, None, bar)
        click.echo(f"{made.recording.head['scenario']}: {made.judged.conforms.said.value}", err=True)
        return made

    tried = try_cases(found.plan, word, how, hold)
    if as_json:
        print_json(tried.as_json())
    else:
        click.echo(tried_text(tried.rows(), tried.together, tried.left_out, CAUTIONS, columns()))
    return STOPPED if heard() else GOOD if tried.good else BAD


def _held(
    found: CoolingPlan,
    how: How,
    at: tuple[str | None, People],
    soft: tuple[int | None, Controller | None],
    folder: Path | None,
    bar: Bar,
) -> Benched:
    link, people = at
    seed, code = soft
    if folder is not None:
        return again(folder, found.plan, bar)
    if seed is None and link is not None:
        return bench(found.plan, link, how, people, bar)
    return rehearse(found.plan, how, code, seed or 0, bar)


def _keys(folder: Path, *, as_json: bool) -> int:
    made = new_keys(folder)
    if as_json:
        print_json({"steadfall": 1, "written": [str(path) for path in made]})
    else:
        for path in made:
            click.echo(f"wrote {path}")
    click.echo("give the certificate to the controller; the key stays here", err=True)
    return GOOD


def _seed(link: str) -> int | None:
    """Of a rehearsal; None where a controller is there."""
    word, _, number = link.partition(":")
    if word != REHEARSAL:
        return None
    if number and not number.isdecimal():
        raise AskError(f"'{number}' is no seed; expected a whole number such as {REHEARSAL}:7")
    return int(number or 1)


def _confirmed() -> str:
    """What a person types before the first write."""
    words: str = click.prompt(f"type '{CONFIRM}' to go on", err=True, default="", show_default=False)
    return words.strip()


def _known(value: str) -> bool:
    """A person looks at the controller, and says whether it is so."""
    return click.confirm(f"{value}: is it so there?", err=True, default=False)


def _asked(what: str) -> None:
    """A person does something at the controller, and says so."""
    click.prompt(f"{what}, wait until it runs, then press Enter", err=True, default="", show_default=False)


def _head(made: Benched) -> list[str]:
    head = made.recording.head
    return [
        made.plan.title,
        f"plan {made.plan.digest[:12]}, scenario '{head['scenario']}', {head['begun']}, at {head['link']}",
        ("it drove the inputs" if head["drive"] else "it only listened")
        + (f", held by {head['held_by']}" if head.get("held_by") else ""),
    ]
