"""Turns the errors that are not ours into sentences, or JSON, and exit codes; anything else is our bug and
shows a traceback.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Sequence
from contextvars import ContextVar
from typing import Any

import click

from steadfall.app.given.document import json_text, refusal
from steadfall.interrupt import STOPPED, WORDS, ending, heard, last_words, pending
from steadfall.progress import Cancelled
from steadfall.source import NOWHERE, UNREADABLE, AskError, OutsideError, PlanError, Problem

GOOD, BAD, USAGE, OUTSIDE = 0, 1, 2, 3
JSON = "--json"
_BEGUN: ContextVar[float] = ContextVar("_BEGUN")  # when whoever typed the command began to wait


class Verb(click.Command):
    """A command of which a wish that cannot be met is wrong usage."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run it. What was loaded for it stays, so that nobody looks there for garbage."""
        if not gc.isenabled():
            gc.freeze()
            gc.enable()
        try:
            return super().invoke(ctx)
        except AskError as wrong:
            raise click.UsageError(str(wrong), ctx) from wrong


def guarded(command: click.Command, arguments: Sequence[str] | None) -> int:
    """Run a command; every foreseeable failure is a sentence or JSON, and an exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    _BEGUN.set(time.monotonic())
    pending(json_text(refusal([_told("stopped", WORDS)])) if JSON in words else "")
    try:
        result = command.main(args=words, prog_name="steadfall", standalone_mode=False)
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except (click.Abort, KeyboardInterrupt, Cancelled):
        return stopped()
    except (click.UsageError, PlanError, OutsideError, OSError) as error:
        return stopped() if heard() else refused(error, as_json=JSON in words)
    except Exception:
        if heard():  # a library that was interrupted may say anything
            return stopped()
        raise
    return result if isinstance(result, int) else GOOD


def left(limit: float | None) -> float | None:
    """What is left of so many seconds: to load the command has taken some of them."""
    return None if limit is None else max(0.0, limit - (time.monotonic() - _BEGUN.get()))


def stopped() -> int:
    """Say that Ctrl-C was heard, as JSON too where nothing was printed yet, and give the exit code."""
    ending()
    sys.stdout.write(last_words())
    click.echo(WORDS, err=True)
    return STOPPED


def refused(error: click.UsageError | PlanError | OutsideError | OSError, *, as_json: bool) -> int:
    """Say what is wrong, and give the exit code."""
    code, problems = OUTSIDE, [_told("outside", str(error))]
    if isinstance(error, click.UsageError):
        code, problems = USAGE, [_told("usage", error.format_message())]
    elif isinstance(error, PlanError):
        code, problems = whose(error.problems), list(error.problems)
    if as_json:
        print_json(refusal(problems))
    elif isinstance(error, click.UsageError):
        error.show()
    elif isinstance(error, PlanError):
        click.echo(error.listing(), err=True)
        click.echo(count(problems), err=True)
    else:
        click.echo(f"steadfall: {error}", err=True)
    return code


def whose(problems: Sequence[Problem]) -> int:
    """The exit code by what is to be mended: a text, a file that cannot be read, or what was typed."""
    if all(problem.slug == UNREADABLE for problem in problems):
        return OUTSIDE
    return USAGE if all(problem.mark == NOWHERE for problem in problems) else BAD


def _told(slug: str, read: str) -> Problem:
    """What is wrong outside the plan's text, in the shape of a problem in it."""
    return Problem(NOWHERE, slug, "", read, "")


def count(problems: Sequence[Problem]) -> str:
    """`1 problem` or `3 problems`."""
    return f"{len(problems)} problem{'' if len(problems) == 1 else 's'}"


def print_json(value: Any) -> None:
    """Print a value as JSON on stdout."""
    pending("")
    sys.stdout.write(json_text(value))
    sys.stdout.flush()  # whoever reads it through a pipe may be waiting, and we go on serving
