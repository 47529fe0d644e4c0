"""`steadfall compare`: a plan and another, or a controller's text: equal for ever, or the shortest
parting.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click
from attrs import frozen

from steadfall.cli.guard import BAD, GOOD, json_text
from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.plan.revise.changes import Change, changes
from steadfall.plan.revise.mapped import mapped
from steadfall.prove.compare.apart import Side, apart
from steadfall.prove.compare.compare import compare, compare_plans
from steadfall.prove.compare.compared import Comparison
from steadfall.report.page.comparison import write_comparison
from steadfall.report.text.comparison import told
from steadfall.source import Mark, PlanError, Problem
from steadfall.st.bring import bring, read_map
from steadfall.why.wording import PLAIN, wording_of

TEXTS = (".st", ".txt")
FILE = "compare.json"
DRAWN = 4  # partings on the page


@frozen(eq=False)
class Compared:
    """What was compared, and what is known of it."""

    found: Comparison
    sides: tuple[Side, Side]
    digests: tuple[str, str]
    changed: tuple[Change, ...] | None  # None where a text was compared
    same: str = ""  # that both are one file, or say the same letter by letter


@click.command("compare")
@click.argument("first", metavar="PLAN")
@click.argument("second", metavar="OTHER")
@click.option(
    "--map",
    "names",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Lines `name in OTHER: name in PLAN`; else the names that emit gives, or guesses.",
)
@click.option(
    "--out",
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write compare.html and compare.json there.",
)
@click.option(
    "--limit",
    metavar="SECONDS",
    default=60.0,
    type=click.FloatRange(min=0.1),
    help="For the whole; 60 if left out.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON (names: docs/json.md).")
def command(
    first: str, second: str, names: Path | None, out: Path | None, limit: float, as_json: bool
) -> int:
    """Compare what the controllers of PLAN and OTHER do: equal for ever, or how they part.

    OTHER is a plan, or structured text from the controller (a name that ends with .st or .txt). Exit code 1
    when they part, when only one of them has some output, or when neither is known.
    """
    of = compared(first, second, names, limit)
    shown = apart(of.found, of.sides, DRAWN if out else 1) if out or not as_json else []
    result = json_text(as_dict(of))
    click.echo(result if as_json else _said(of, told(of.found, of.sides, of.changed, shown)), nl=not as_json)
    if out is not None:
        page = write_comparison(of.found, of.sides, of.changed, shown, out)
        (out / FILE).write_text(result, encoding="utf-8")
        click.echo(f"wrote {out / FILE} and {page}", err=True)
    return GOOD if of.found.good else BAD


def _said(of: Compared, text: str) -> str:
    return f"{of.same}\n{text}" if of.same else text


def compared(first: str, second: str, names: Path | None, limit: float) -> Compared:
    """Both read, and compared."""
    if Path(first).suffix.lower() in TEXTS:
        raise click.UsageError(
            f"{first} is structured text; name the plan first, then the text that stands against it"
        )
    one = read_file(first)
    titles = _titles(first, second)
    if Path(second).suffix.lower() in TEXTS:
        return _with_text(one, titles, Path(second), names, limit)
    two = read_file(second)
    known = None if names is None else mapped(read_map(names), names.name, one, two)
    found = compare_plans(one, two, limit, known)
    sides = [
        Side(title, build(plan), wording_of(plan), plan)
        for title, plan in zip(titles, (one, two), strict=True)
    ]
    if not found.outputs:
        raise PlanError([_nothing(second, sides[0], sides[1])])
    same = _same(first, second, one, two)
    return Compared(
        found, (sides[0], sides[1]), (one.digest, two.digest), changes(one, two, found.names), same
    )


def _with_text(one: Plan, titles: tuple[str, str], code: Path, names: Path | None, limit: float) -> Compared:
    first, other = build(one), bring(one, code, names)
    sides = Side(titles[0], first, wording_of(one), one), Side(titles[1], other, PLAIN)
    digest = hashlib.sha256(code.read_bytes()).hexdigest()
    return Compared(compare(one, first, other, limit), sides, (one.digest, digest), None)


def _titles(first: str, second: str) -> tuple[str, str]:
    """What the two are called: their files' names, with as much of the path as tells them apart."""
    one, two = Path(first), Path(second)
    return (one.name, two.name) if one.name != two.name else (first, second)


def _same(first: str, second: str, one: Plan, two: Plan) -> str:
    if Path(first).resolve() == Path(second).resolve():
        return f"{first} and {second} are the same file."
    return "The two files are the same, letter by letter." if one.digest == two.digest else ""


def _nothing(second: str, one: Side, two: Side) -> Problem:
    """That no output has the same name in both."""
    ours, theirs = (", ".join(side.network.outputs[:4]) for side in (one, two))
    read = (
        f"the two plans command no valve of the same name: {one.title} has {ours} ..., {two.title} has "
        f"{theirs} ..."
    )
    theirs, own = (side.network.identities[side.network.outputs[0]].circuit for side in (two, one))
    example = f"{theirs}: {own}"
    return Problem(Mark(second, 0, 0), "nothing-in-common", "", read, "a --map with lines", example)


def as_dict(of: Compared) -> dict[str, Any]:
    """The result in stable names; `changed` is null where a text was compared."""
    found = of.found
    return {
        "steadfall": 1,
        **found.as_json(),
        "digests": list(of.digests),
        "changed": None if of.changed is None else [line for row in of.changed for line in _lines(row)],
        "changes": None if of.changed is None else [_change(row) for row in of.changed],
        "note": of.same,
    }


def _lines(row: Change) -> Sequence[str]:
    """A change as lines with a sign before them."""
    return [f"{sign} {row.where}: {said}" for sign, said in (("-", row.first), ("+", row.second)) if said]


def _change(row: Change) -> dict[str, Any]:
    return {
        "place": list(row.place),
        "first": row.first,
        "second": row.second,
        "of_controller": row.of_controller,
    }
