"""What a stored proof must look like before anything in it is used: a table of its keys.

Rule of this file: every key must be there, none besides, each of its kind; the first that is not ends it with
a sentence that names its place. Whether what it says is so is no matter of this file.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any
from unicodedata import category

from steadfall.logic.nodes import LARGEST
from steadfall.plan.meaning.identity import VERSION
from steadfall.prove import trusted
from steadfall.prove.decide.ask import ENGINES, RUNS
from steadfall.prove.decide.result import ITS_VIOLATION, PROVED, REFUTED, UNKNOWN, VACUOUS
from steadfall.prove.engines import bounded
from steadfall.prove.runs import far
from steadfall.runs.json import OFF, THEN
from steadfall.source import OutsideError

FILE = "proof.json"
MOST_SEEDS, MOST_LEMMAS = 1_000_000, 1_000_000
UNPRINTED = ("Cc", "Cs", "Zl", "Zp")  # kinds of letters, as Unicode names them
MOST_SHOWN = 60  # letters of what was read, in a sentence

Shape = Callable[[Any, str], None]  # a value and its place; raises OutsideError


def check_shape(found: Any) -> None:
    """Raises OutsideError where something that was read from a file is no stored proof."""
    PROOF(found, "")


def wrong(place: str, read: str, expected: str) -> OutsideError:
    """A sentence on what is wrong at a place of the file."""
    where = f"{place}: " if place else ""
    return OutsideError(f"{FILE}: {where}{read}; expected {expected}")


def shown(value: Any) -> str:
    """What was read, in a few letters."""
    words = ascii(value)
    return words if len(words) <= MOST_SHOWN else f"{words[:MOST_SHOWN]} ..."


def _must(holds: bool, value: Any, place: str, expected: str) -> None:
    if not holds:
        raise wrong(place, shown(value), expected)


def _text(value: Any, place: str) -> None:
    _must(isinstance(value, str), value, place, "a text")


def _note(value: Any, place: str) -> None:
    plain = isinstance(value, str) and not any(category(letter) in UNPRINTED for letter in value)
    _must(plain, value, place, "a text on one line, without control characters")


def _truth(value: Any, place: str) -> None:
    _must(isinstance(value, bool), value, place, "true or false")


def _seconds(value: Any, place: str) -> None:
    fits = isinstance(value, int | float) and not isinstance(value, bool)
    _must(fits and 0 <= value <= LARGEST, value, place, "a number of seconds such as 1.5")


def _value(value: Any, place: str) -> None:
    fits = isinstance(value, bool | int) or (isinstance(value, float) and math.isfinite(value))
    _must(fits and abs(value) < 1e300, value, place, "true, false or a number")


def _number(value: Any, place: str) -> None:
    _must(not isinstance(value, bool), value, place, "a number")
    _value(value, place)


def _whole(low: int, high: int) -> Shape:
    def check(value: Any, place: str) -> None:
        fits = type(value) is int and low <= value <= high
        _must(fits, value, place, f"a whole number from {low} to {high}")

    return check


def _one_of(*words: str) -> Shape:
    def check(value: Any, place: str) -> None:
        fits = isinstance(value, str) and value in words
        _must(fits, value, place, f"one of: {', '.join(repr(word) for word in words)}")

    return check


def _same(fixed: Any) -> Shape:
    def check(value: Any, place: str) -> None:
        _must(type(value) is type(fixed) and value == fixed, value, place, repr(fixed))

    return check


def _maybe(shape: Shape) -> Shape:
    return lambda value, place: None if value is None else shape(value, place)


def _list(shape: Shape) -> Shape:
    def check(value: Any, place: str) -> None:
        _must(isinstance(value, list), value, place, "a list")
        for number, one in enumerate(value):
            shape(one, f"{place}[{number}]")

    return check


def _by_name(shape: Shape) -> Shape:
    def check(value: Any, place: str) -> None:
        _must(isinstance(value, dict), value, place, "values by name")
        for name, one in value.items():
            shape(one, f"{place}.{shown(name)}")

    return check


def _keys(table: Mapping[str, Shape], absent: frozenset[str] = frozenset()) -> Shape:
    """An object of just these keys, of which some may be absent."""

    def check(value: Any, place: str) -> None:
        _must(isinstance(value, dict), value, place, f"an object with {', '.join(table)}")
        for key in table:
            if key not in value and key not in absent:
                raise wrong(place, f"'{key}' is missing", f"an object with {', '.join(table)}")
        for key in value:
            if key not in table:
                raise wrong(place, f"{shown(key)} is no key of it", f"one of: {', '.join(table)}")
        for key, one in value.items():
            table[key](one, f"{place}.{key}" if place else key)

    return check


def _witness(value: Any, place: str) -> None:
    _must(isinstance(value, dict), value, place, "a witness or null")
    by = value.get("by")
    _must(isinstance(by, str) and by in WITNESSES, by, f"{place}.by", f"one of: {', '.join(WITNESSES)}")
    WITNESSES[by](value, place)


def _certificate(value: Any, place: str) -> None:
    """One of its own, or lemmas that many lean on."""
    shared = isinstance(value, dict) and "lemmas" in value
    (BY_LEMMAS if shared else CERTIFICATE)(value, place)


def _verdict(value: Any, place: str) -> None:
    VERDICT(value, place)
    word = value["verdict"]
    for key, words in NEEDED.items():
        if value[key] is None and word in words:
            raise wrong(place, f"{word} without a {key}", f"a {key} of what is {word}")


_moment = _whole(0, LARGEST)


def _pair(value: Any, place: str) -> None:
    """So many ms, so many scans."""
    _list(_whole(1, LARGEST))(value, place)
    _must(len(value) == len(("ms", "scans")), value, place, "ms and a number of scans")


MARK = _keys({"file": _text, "line": _whole(0, LARGEST), "column": _whole(0, LARGEST)})
STEP = _keys(
    {
        "at_ms": _moment,
        "scan_ms": _moment,
        "scans": _whole(1, LARGEST),
        "inputs": _by_name(_value),
        THEN: _list(_pair),
        OFF: _moment,
    },
    frozenset({THEN, OFF}),
)
TRACE = _keys({"violated_at_ms": _moment, "steps": _list(STEP)})
CHANGE = _keys({"scan": _moment, "input": _text, "to": _number})
WITNESSES: Mapping[str, Shape] = {
    RUNS: _keys(
        {"by": _text, "seed": _whole(0, MOST_SEEDS), "scan": _moment, "at_ms": _moment, "then": CHANGE},
        frozenset({"then"}),
    ),
    **{
        name: _keys({"by": _text, "at_ms": _moment, "steps": _list(STEP)})
        for name in (bounded.NAME, far.NAME)
    },
    ITS_VIOLATION: _keys({"by": _text, "at_ms": _moment}),
}
CERTIFICATE = _keys({"invariant": _text, "freed": _list(_text)})
BY_LEMMAS = _keys({"lemmas": _text, "which": _list(_whole(0, MOST_LEMMAS))})
LEMMAS = _keys({"name": _text, "freed": _list(_text), "about": _list(_text), "lemmas": _list(_text)})
VERDICT = _keys(
    {
        "name": _text,
        "sentence": _text,
        "stated": _truth,
        "verdict": _one_of(PROVED, REFUTED, VACUOUS, UNKNOWN),
        "engine": _one_of("", *ENGINES),
        "seconds": _seconds,
        "plan_lines": _list(MARK),
        "notes": _list(_note),
        "rechecked": _maybe(_truth),
        "certificate": _maybe(_certificate),
        "trace": _maybe(TRACE),
        "witness": _maybe(_witness),
    }
)
# What a verdict cannot be without.
NEEDED: Mapping[str, tuple[str, ...]] = {
    "certificate": (PROVED, VACUOUS),
    "trace": (REFUTED,),
    "witness": (PROVED, REFUTED),
}
FAULT = _keys(
    {
        "fault": _text,
        "plan_line": MARK,
        "good": _truth,
        "kept": _list(_text),
        "sentences": _list(_text),
        "broken": _list(_text),
        "may_break": _list(_text),
        "quiet": _list(_text),
        "runs": _whole(0, MOST_SEEDS),
        "seconds": _seconds,
        "requirements": _list(_verdict),
        "lemmas": _list(LEMMAS),
    }
)
CONTRADICTION = _keys(
    {
        "requirements": _list(_text),
        "sentences": _list(_text),
        "plan_lines": _list(MARK),
        "once": _text,
        "broken": _text,
    }
)
WITHIN = _keys(
    {
        "name": _text,
        "setting": _maybe(_text),
        "low": _maybe(_number),
        "high": _maybe(_number),
        "at_defaults": _truth,
        "sentence": _text,
    }
)
PROOF = _keys(
    {
        "steadfall": _same(VERSION),
        "plan": _keys({"title": _text, "file": _text, "revised": _text, "digest": _text}),
        "good": _truth,
        "code": _maybe(_keys({"file": _text, "digest": _text})),
        "left_out": _list(_text),
        "stopped": _truth,
        "faults": _list(_text),
        "seconds": _seconds,
        "notes": _list(_note),
        "trusted": _same(trusted.as_json()),
        "differences": _list(_text),
        "requirements": _list(_verdict),
        "lemmas": _list(LEMMAS),
        "contradictions": _list(CONTRADICTION),
        "within": _list(WITHIN),
        "with_faults": _list(FAULT),
    }
)
