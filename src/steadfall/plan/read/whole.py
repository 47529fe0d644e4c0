"""Reads a plan: text to `Plan`, or every problem of the text at once.

Rule of this file: `read_text` and `read_file` raise PlanError and nothing else, whatever they are given.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable
from pathlib import Path

from attrs import evolve

from steadfall.plan.check.whole import check
from steadfall.plan.keys.kinds import Key
from steadfall.plan.keys.table import TOP
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.plan.read.given import given
from steadfall.plan.read.known import Known
from steadfall.plan.read.table import made, read_key, sort
from steadfall.plan.read.value import Context
from steadfall.plan.text.decode import decoded
from steadfall.plan.text.tree import LARGEST_TEXT, read_tree
from steadfall.source import UNREADABLE, Mark, PlanError, Problem


def read_file(path: str | os.PathLike[str]) -> Plan:
    """The plan in a file."""
    name = os.fspath(path)
    return read_text(_text_of(name), name)


def _text_of(name: str) -> str:
    """The text of a file, or the reason why there is none."""
    try:
        with Path(name).open("rb") as file:
            data = file.read(4 * LARGEST_TEXT + 1)
    except (OSError, ValueError) as error:
        why = next((words for kind, words in _UNREADABLE if isinstance(error, kind)), str(error))
        raise PlanError([Problem(Mark(name, 0, 0), UNREADABLE, "", why, "a plan file")]) from None
    if len(data) > 4 * LARGEST_TEXT:
        read = f"the file has more than {4 * LARGEST_TEXT:,} bytes"
        raise PlanError([Problem(Mark(name, 1, 1), "too-large", "", read, "a plan")])
    return decoded(data, name)


_UNREADABLE: tuple[tuple[type[Exception], str], ...] = (
    (FileNotFoundError, "there is no such file"),
    (IsADirectoryError, "this is a folder"),
    (PermissionError, "this file may not be read"),
    (NotADirectoryError, "there is no such file"),
    (ValueError, "this cannot be the name of a file"),
)


def read_text(text: str, name: str = "plan.yaml") -> Plan:
    """The plan that a text states; `name` is what its problems call it."""
    problems = Problems()
    text = text.removeprefix("\ufeff")
    plan = draft(text, name, problems)
    check(plan, problems)
    if problems:
        raise PlanError(problems.found(), text)
    return plan


def draft(text: str, name: str, problems: Problems) -> Plan:
    """The plan as far as it could be read, not judged yet; what could not be read is in the problems."""
    node = read_tree(text, name, problems)
    known, values = Known(given=given(node)), {}
    entries = sort(node, TOP, Context("", problems), node.mark)
    for key in _in_order(TOP.keys):
        value = read_key(key, entries, Context("", problems, known))
        values[key.field] = value
        known = known.and_with(key.field, value)
    plan: Plan = made(TOP, values, entries, Context("", problems, known))
    return evolve(plan, digest=hashlib.sha256(text.encode()).hexdigest(), text=text)


def _in_order(keys: Iterable[Key]) -> list[Key]:
    """Materials first, as anything may be made of them; then as in the table."""
    return sorted(keys, key=lambda key: key.field != "materials")
