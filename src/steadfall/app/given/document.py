"""The one shape of every result as JSON: version, plan, whether all is good, then what the verb says."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from typing import Any

from steadfall.plan.meaning.identity import VERSION, identity
from steadfall.plan.model import Plan
from steadfall.source import Problem


def document(plan: Plan | None, good: bool, body: Mapping[str, Any]) -> dict[str, Any]:
    """A result with its head before it."""
    head = {"steadfall": VERSION, "plan": None if plan is None else identity(plan), "good": good}
    return {**head, **{name: value for name, value in body.items() if name not in head}}


def refusal(problems: Iterable[Problem]) -> dict[str, Any]:
    """What is printed where there is no result: the problems."""
    return document(None, False, {"problems": [problem_json(problem) for problem in problems]})


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


def json_text(value: Any) -> str:
    """A value as JSON text, the same on stdout and in files.

    A number that is not finite is null, since JSON has no word for it.
    """
    return json.dumps(_finite(value), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def dense_text(value: Any) -> str:
    """The same on one line, for a program that reads much of it at once."""
    try:
        return json.dumps(value, ensure_ascii=False, allow_nan=False)
    except ValueError:  # seldom: to look for such numbers takes longer than to write
        return json.dumps(_finite(value), ensure_ascii=False, allow_nan=False)


def _finite(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _finite(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(inner) for inner in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
