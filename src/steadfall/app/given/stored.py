"""A proof as it was stored: read again, and held against the plan that it must belong to."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from steadfall.bench.cases.violations import Violation
from steadfall.plan.model import Plan
from steadfall.prove.decide.result import REFUTED
from steadfall.prove.whole.differences import differences
from steadfall.prove.whole.shape import FILE, check_shape, shown
from steadfall.source import OutsideError, Text

# Keys of the whole; requirements and faults are held against each other one by one.
HEAD = ("steadfall", "plan", "good", "code", "left_out", "faults", "notes", "differences")


def read_stored(folder: Path, plan: Plan, code: Text | None) -> dict[str, Any]:
    """The stored verdicts of this very plan, or of this very text in its place; raises OutsideError."""
    stored = _parsed(folder)
    if not isinstance(stored, dict) or not belongs(stored, plan, code):
        raise OutsideError(
            f"the proof in {folder} is of another plan, another revision of it, or another controller's text"
        )
    check_shape(stored)
    return stored


def is_stored(folder: Path) -> bool:
    """Whether a proof lies in a folder."""
    return (folder / FILE).is_file()


def stored_violations(folder: Path) -> Iterator[Violation]:
    """What a stored proof has refuted, of whichever revision or text; but for what a plan lets break.

    Raises OutsideError where there is no stored proof.
    """
    stored = _parsed(folder)
    check_shape(stored)
    yield from _refuted(stored["requirements"], tuple(stored["faults"]))
    for under in stored["with_faults"]:
        allowed = under["may_break"]
        yield from _refuted(
            (row for row in under["requirements"] if row["name"] not in allowed), (under["fault"],)
        )


def _refuted(rows: Iterable[Mapping[str, Any]], faults: tuple[str, ...]) -> Iterator[Violation]:
    for row in rows:
        if row["verdict"] == REFUTED:
            yield Violation(row["name"], row["sentence"], faults, row["trace"]["steps"])


def _parsed(folder: Path) -> Any:
    try:
        text = (folder / FILE).read_text(encoding="utf-8")
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_number)
    except OSError as error:
        raise OutsideError(f"no stored proof can be read in {folder}: {error.strerror or error}") from None
    except RecursionError:
        raise OutsideError(f"no stored proof can be read in {folder}: too many brackets") from None
    except ValueError as error:
        raise OutsideError(f"no stored proof can be read in {folder}: {error}") from None


def belongs(stored: Mapping[str, Any], plan: Plan, code: Text | None = None) -> bool:
    """Whether a stored result is of this plan's text, and of this controller's text where there is one."""
    of, by = stored.get("plan"), stored.get("code")
    known = of.get("digest") if isinstance(of, dict) else None
    text = by.get("digest") if isinstance(by, dict) else None
    return known == plan.digest and text == (code.digest if code else None)


def same_faults(stored: Mapping[str, Any], asked: Sequence[str], folder: Path) -> None:
    """The faults of the stored proof must be those that are asked about; raises OutsideError."""
    if list(asked) != stored["faults"]:
        given = " ".join(f"--faults {shown(phrase)}" for phrase in stored["faults"]) or "no --faults"
        raise OutsideError(f"the proof in {folder} was made with other faults: with {given}")


def otherwise(stored: Mapping[str, Any], made: Mapping[str, Any]) -> Iterator[str]:
    """What the head of a stored proof says otherwise than the proof that was checked again."""
    names = {row["name"] for row in made["requirements"]}
    whole = all(row["name"] in names for row in stored["requirements"])  # nothing was left out on purpose
    head = [key for key in HEAD if key != "differences" and (whole or key != "good")]
    yield from differences({key: stored[key] for key in head}, {key: made[key] for key in head}, "")
    yield from differences(stored["differences"], [], "differences")
    if not made["stopped"] and not made["faults"]:
        kept = [row for row in stored["contradictions"] if whole or names >= set(row["requirements"])]
        yield from differences(kept, made["contradictions"], "contradictions")


def _once(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    """An object of which no key stands twice."""
    found = dict(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in found if keys.count(key) > 1)
        raise ValueError(f"{shown(twice)} stands twice in one object")
    return found


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")
