"""`steadfall new`: a commented plan to start from."""

from __future__ import annotations

from pathlib import Path

import click

from steadfall.plan.starter import PATTERNS, starter
from steadfall.source import OutsideError

FILE = "plan.yaml"


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option(
    "--pattern", type=click.Choice(PATTERNS), default=PATTERNS[0], show_default=True, help="The plant."
)
def command(folder: Path, pattern: str) -> int:
    """Write DIR/plan.yaml, a commented starter plan that checks clean and predicts.

    An existing plan is never overwritten.
    """
    if folder.suffix in (".yaml", ".yml"):
        raise click.UsageError(f"DIR is a folder, in which {FILE} is written: steadfall new {folder.stem}")
    path = folder / FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(starter(pattern))
    except FileExistsError as error:
        raise OutsideError(f"{path} is there already; choose another folder or move it away") from error
    click.echo(f"wrote {path}")
    click.echo(
        f"next: steadfall check {path}; then: steadfall predict {path} --out {folder / 'report'}", err=True
    )
    return 0
