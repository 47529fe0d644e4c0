"""Turns the errors that are not ours into sentences and exit codes; anything else is our bug and shows a
traceback.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Sequence
from typing import Any

import click

from steadfall.source import OutsideError, PlanError, Problem

GOOD, BAD, USAGE, OUTSIDE, STOPPED = 0, 1, 2, 3, 130


def guarded(command: click.Command, arguments: Sequence[str] | None) -> int:
    """Run a command; every foreseeable failure is a sentence on stderr and an exit code."""
    try:
        result = command.main(
            args=None if arguments is None else list(arguments), prog_name="steadfall", standalone_mode=False
        )
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except click.UsageError as wrong:
        wrong.show()
        return USAGE
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped; nothing was left half-written", err=True)
        return STOPPED
    except PlanError as error:
        click.echo(error.listing(), err=True)
        click.echo(count(error.problems), err=True)
        return BAD
    except (OutsideError, OSError) as error:
        click.echo(f"steadfall: {error}", err=True)
        return OUTSIDE
    return result if isinstance(result, int) else GOOD


def count(problems: Sequence[Problem]) -> str:
    """`1 problem` or `3 problems`."""
    return f"{len(problems)} problem{'' if len(problems) == 1 else 's'}"


def problem_json(problem: Problem) -> dict[str, Any]:
    """A problem in stable names."""
    return {
        "file": problem.mark.file,
        "line": problem.mark.line,
        "column": problem.mark.column,
        "slug": problem.slug,
        "key": problem.key,
        "read": problem.read,
        "expected": problem.expected,
        "example": problem.example,
    }


def print_json(value: Any) -> None:
    """Print a value as JSON on stdout; a number that is not finite is null, since JSON has no word for it."""
    sys.stdout.write(json_text(value))


def json_text(value: Any) -> str:
    """A value as JSON text, the same on stdout and in files."""
    return json.dumps(_finite(value), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _finite(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _finite(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(inner) for inner in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
