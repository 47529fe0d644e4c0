"""`steadfall new`: a commented plan to start from."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import click

from steadfall.app.new import PATTERNS, QUESTIONS, Question, fits, new, suggested
from steadfall.cli.common.guard import GOOD, Verb, print_json
from steadfall.cli.common.options import with_json
from steadfall.source import AskError


@click.command("new", cls=Verb)
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option(
    "--pattern", type=click.Choice(PATTERNS), default=PATTERNS[0], show_default=True, help="The plant."
)
@click.option(
    "--ask", "asks", is_flag=True, help="Draft the plan from questions; Enter takes what is typical."
)
@click.option(
    "--answer",
    "given",
    metavar="NAME=VALUE",
    multiple=True,
    help=f"Draft it from such answers; the rest is typical. NAME: {', '.join(QUESTIONS)}.",
)
@with_json("Print what was written as JSON.")
def command(folder: Path, pattern: str, asks: bool, given: tuple[str, ...], as_json: bool) -> int:
    """Write DIR/plan.yaml, a commented starter plan that checks clean and predicts.

    Or one that is drafted from some answers, for your own plant (`--ask`, `--answer`); what is not answered
    is typical, and marked so.

    An existing plan is never overwritten. For a plan of the logic alone, take out of it all that speaks of
    the plant: `bodies`, `gas_streams`, `links`, `limits`, `tolerances`, of circuit types `path`, `outlet`,
    `relief`, of valves `kv`, `line`, of circuits `host`; and what `measures` it.
    """
    answers = dict(map(_answer, given))
    if asks:
        answers |= _asked(answers)
    found = new(folder, pattern, answers if asks or given else None)
    if as_json:
        print_json(found.as_json())
        return GOOD
    path = found.path
    click.echo(f"wrote {path}")
    click.echo(
        f"next: steadfall check {path}; then: steadfall predict {path} --out {folder / 'report'}", err=True
    )
    return GOOD


def _answer(given: str) -> tuple[str, str]:
    """A name and its answer."""
    name, sign, answer = given.partition("=")
    if not sign:
        raise AskError(f"--answer '{given}' names nothing; expected such as --answer 'mass=820 kg'")
    return name.strip(), answer.strip()


def _asked(known: Mapping[str, str]) -> dict[str, str]:
    """What a person answers to every question that is not answered yet; Enter leaves it typical."""
    found: dict[str, str] = {}
    group = ""
    for one in QUESTIONS.values():
        if one.group != group:
            group = one.group
            click.echo(f"\n{group}", err=True)
        if one.name not in known:
            found |= _one(one, {**known, **found})
    return found


def _one(question: Question, known: Mapping[str, str]) -> dict[str, str]:
    """One answer, asked for until it fits."""
    typical = suggested(question.name, known)
    options = "".join(f"\n    {name}: {words}" for name, words in question.options)
    while True:
        said = click.prompt(f"  {question.words}{options}\n   ", default=typical, err=True)
        if said == typical:
            return {}
        try:
            fits(question, said)
        except AskError as error:
            click.echo(f"    {error}", err=True)
        else:
            return {question.name: said}
