"""What docs/json.md says of the results: for each thing its names, and where a value is not as described."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

DOCS = Path(__file__).parent.parent.parent / "docs" / "json.md"
ROW = re.compile(r"\| `(\w+)` \| ([^|]+) \|")
TITLE = re.compile(r"### (?:The|An|A) (.*)")
PLAIN: dict[str, tuple[type, ...]] = {
    "text": (str,),
    "whole number": (int,),
    "number": (int, float),
    "any object": (dict,),
    "true or false": (bool,),
    "value": (bool, int, float, list),
}
WITH_TRUTH = {"true or false", "value"}  # kinds of which true and false are values


@cache
def described() -> dict[str, dict[str, str]]:
    """For each thing, its names and their kinds."""
    found: dict[str, dict[str, str]] = {}
    for part in DOCS.read_text(encoding="utf-8").split("\n#"):
        title, _, rows = part.partition("\n")
        named = TITLE.fullmatch(f"#{title}")
        if named:
            assert named[1] not in found, f"{named[1]} is described twice"
            found[named[1]] = dict(ROW.findall(rows))
    return found


def wrong(value: Any, kind: str, at: str) -> list[str]:
    """Where a value is not what the docs say."""
    if kind.endswith(", or null"):
        return [] if value is None else wrong(value, kind.removesuffix(", or null"), at)
    if kind.startswith(("list of ", "lists of ")):
        single = kind.partition(" of ")[2].removesuffix("s")
        if not isinstance(value, list):
            return [f"{at}: {value!r}"]
        return [line for number, one in enumerate(value) for line in wrong(one, single, f"{at}.{number}")]
    if kind == "values by name":
        return [f"{at}.{name}: {one!r}" for name, one in value.items() if not isinstance(one, int | float)]
    if kind in PLAIN:
        fits = isinstance(value, PLAIN[kind]) and (kind in WITH_TRUTH or not isinstance(value, bool))
        return [] if fits else [f"{at}: {value!r}"]
    return wrong_names(value, described()[kind], at)


def wrong_result(value: Mapping[str, Any], kind: str) -> list[str]:
    """Where a whole result is not what the docs say: its head first, then the names of its kind."""
    head = described()["head"]
    order = [] if list(value)[: len(head)] == list(head) else [f"{kind}: it does not begin with its head"]
    return order + wrong_names(value, head | described()[kind], kind)


def wrong_names(value: Any, names: Mapping[str, str], at: str) -> list[str]:
    """Where the names of an object or what stands there are not as they are described."""
    if not isinstance(value, dict):
        return [f"{at}: {value!r}"]
    missing = [name for name, what in names.items() if name not in value and not what.endswith(", or absent")]
    found = [f"{at}.{name} is missing" for name in missing]
    found += [f"{at}.{name} is not described" for name in value if name not in names]
    for name, one in value.items():
        if name in names:
            found += wrong(one, names[name].removesuffix(", or absent"), f"{at}.{name}")
    return found
