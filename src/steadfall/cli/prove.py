"""`steadfall prove`: every requirement of a plan, under every input, for ever."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import click
from attrs import define, field

from steadfall.app.given.files import ready
from steadfall.app.plan import read
from steadfall.app.prove import Proved
from steadfall.cli.common.controller import brought, takes_text
from steadfall.cli.common.guard import BAD, GOOD, OUTSIDE, Verb, left, print_json
from steadfall.cli.common.options import into_folder, with_json
from steadfall.cli.common.progress import Bar
from steadfall.cli.common.terminal import columns
from steadfall.cli.common.times import Time
from steadfall.interrupt import STOPPED
from steadfall.report.text.proof import told
from steadfall.source import AskError, OutsideError


@click.command("prove", cls=Verb)
@click.argument("plan", metavar="PLAN")
@click.option(
    "--only",
    metavar="NAME",
    multiple=True,
    help="Only these: by name, circuit or valve. One that is named in full and proved is drawn at work.",
)
@into_folder("Store verdicts and certificates there.")
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
    help="How much work each requirement is worth: 2 is twice the usual.",
)
@click.option(
    "--faults", metavar="FAULT", multiple=True, help="'power cut', 'NAME stuck off', ...; see docs/proof.md."
)
@click.option("--recheck", is_flag=True, help="Check the proofs stored in DIR again, with cvc5 alone.")
@takes_text
@with_json("Print the verdicts as JSON (names: docs/json.md).")
def command(
    plan: str,
    only: tuple[str, ...],
    out: Path | None,
    limit: float | None,
    effort: float,
    faults: tuple[str, ...],
    recheck: bool,
    code: Path | None,
    names: Path | None,
    as_json: bool,
) -> int:
    """Prove what must hold of PLAN under every input and every scan time, or show how it is broken.

    Exit code 1 when a requirement is refuted, vacuous or unknown; 130 after Ctrl-C.
    """
    found = read(plan)
    if recheck and out is None:
        raise AskError("--recheck needs --out DIR, where the proofs were stored")
    if out is not None:
        ready(out)
    controller = brought(found, code, names)
    if recheck and out is not None:
        proved = found.recheck(out, controller, only=only, faults=faults)
    else:
        with Bar() as bar:
            proved = found.prove(
                *only, effort=effort, limit=left(limit), faults=faults, code=controller, progress=bar
            )
    if proved.left_out:
        listed = ", ".join(proved.left_out)
        click.echo(f"left out, since the text does not have their signals: {listed}", err=True)
    # Stored before anything is drawn: that may take a while.
    kept = Kept()
    if out is not None and not recheck:
        kept.keep(lambda: proved.write(out))
    if as_json:
        print_json(proved.as_json())
    else:
        click.echo(_text(proved, only))
    if out is not None:
        checked = datetime.now().astimezone().strftime("%Y-%m-%d %H:%M") if recheck else ""
        kept.keep(lambda: proved.write_page(out, checked, dated=date.today().isoformat()))
    return kept.told(STOPPED if proved.proof.interrupted else GOOD if proved.good else BAD)


@define
class Kept:
    """What was written; where something could not be, that is said once the verdicts are printed."""

    wrote: list[Path] = field(factory=list)
    failed: list[str] = field(factory=list)

    def keep(self, write: Callable[[], Path]) -> None:
        """Write one file; after one that could not be written none is tried."""
        if self.failed:
            return
        try:
            self.wrote.append(write())
        except OutsideError as error:
            self.failed.append(str(error))

    def told(self, code: int) -> int:
        """Say it, and give the exit code."""
        if self.wrote:
            click.echo(f"wrote {' and '.join(str(path) for path in self.wrote)}", err=True)
        for line in self.failed:
            click.echo(f"steadfall: {line}", err=True)
        return OUTSIDE if self.failed else code


def _text(proved: Proved, only: tuple[str, ...]) -> str:
    """The verdicts for the terminal; what was asked for in full and is proved is drawn at work."""
    drawn = proved.witnesses(only)
    named = [drawn[name] for name in only if name in drawn]
    return told(proved.plan, proved.proof, proved.violations, named, columns())
