"""`steadfall emit`: the program for the controller and the lists that go with it."""

from __future__ import annotations

import tempfile
from pathlib import Path

import click

from steadfall.cli.guard import GOOD, print_json
from steadfall.lists.papers import papers
from steadfall.plan.read.whole import read_file
from steadfall.source import OutsideError


@click.command("emit")
@click.argument("plan", metavar="PLAN")
@click.option(
    "--out",
    metavar="DIR",
    required=True,
    type=click.Path(path_type=Path, file_okay=False),
    help="The folder to write into.",
)
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
def command(plan: str, out: Path, as_json: bool) -> int:
    """Write PLAN as structured text (IEC 61131-3), with a name map and lists.

    Lists: inputs and outputs, cause and effect, alarms, description of operation. The same plan gives the
    same bytes.
    """
    found = read_file(plan)
    written = write(papers(found), out)
    if as_json:
        print_json(
            {"steadfall": 1, "plan": plan, "digest": found.digest, "written": [str(path) for path in written]}
        )
    else:
        for path in written:
            click.echo(f"wrote {path}")
    return GOOD


def write(files: dict[str, bytes], folder: Path) -> list[Path]:
    """Write files into a folder, all or none of each; raises OutsideError where it cannot be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".steadfall-", dir=folder) as draft:
            for name, content in files.items():
                (Path(draft) / name).write_bytes(content)
            return [(Path(draft) / name).replace(folder / name) for name in files]
    except OSError as error:
        raise OutsideError(f"cannot write into {folder}: {error.strerror or error}") from error
