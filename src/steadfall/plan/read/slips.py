"""Slips within braces that still read as something: a decimal comma, a comma in a text, a key without its
colon, or without the space behind it; and a key by another name than the one that is missing.

Rule of this file: what was meant is read on, so that one slip is one problem.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping, Sequence

from steadfall.plan.keys.kinds import Key, Section, Text
from steadfall.plan.problems import Problems, near_miss, short
from steadfall.plan.text.tree import Entry, Scalar
from steadfall.source import Mark

SPACE_MISSING = "a space is missing after the ':' of this key"
_WHOLE = re.compile(r"[-+]?\d+\Z")
_FRACTION = re.compile(r"\d+(\s.*)?\Z")


def mended(entries: Sequence[Entry], keys: Sequence[Key], problems: Problems) -> Iterator[Entry]:
    """The entries of a table as they were meant; `keys` are those that it may have."""
    left, names = list(entries), [key.name for key in keys]
    texts = {key.name for key in keys if isinstance(key.kind, Text)}
    while left:
        entry = left.pop(0)
        while left and entry.key.text in texts and (whole := _whole(entry, left[0], names)) is not None:
            left.pop(0)
            read, key = f"'{short(whole.text)}' has a comma, which ends a value here", entry.key.text
            problems.add(whole.mark, "comma-in-text", key, read, "quotes round it", example=f'"{whole.text}"')
            entry = Entry(entry.key, whole)
        if left and (joined := _joined(entry, left[0])) is not None:
            left.pop(0)
            read = f"'{short(joined.text.replace('.', ',', 1))}' has a decimal comma"
            key = short(entry.key.text)
            problems.add(joined.mark, "decimal-comma", key, read, "a point", example=joined.text)
            yield Entry(entry.key, joined)
        else:
            yield _parted(entry, names, problems) or entry


def in_place_of(
    strays: Sequence[Entry], section: Section, given: Container[str], *, has_plant: bool
) -> Mapping[Entry, Key]:
    """Which key each entry that is none of the section's stands in for: a missing one that is spelled alike,
    or, where one entry is left and one key, that.
    """
    keys = {key.name: key for key in section.keys}
    groups = [group for group in section.one_of if not any(name in given for name in group)]
    lacking = [
        key.name
        for key in section.keys
        if key.required and key.name not in given and (has_plant or not key.of_plant)
    ]
    found: dict[Entry, Key] = {}
    for entry in strays:
        near = near_miss(entry.key.text, keys)
        if near in lacking or any(near in group for group in groups):
            found[entry] = keys[near]
            lacking = [name for name in lacking if name != near]
            groups = [group for group in groups if near not in group]
    left = [entry for entry in strays if entry not in found]
    if len(left) == len(lacking) == 1:
        near = near_miss(left[0].key.text, keys)
        if not near or near in given:
            found[left[0]] = keys[lacking[0]]
    return found


def alike(entry: Entry, key: Key) -> bool:
    """Whether an entry is spelled like a key."""
    return bool(near_miss(entry.key.text, [key.name]))


def _joined(entry: Entry, after: Entry) -> Scalar | None:
    """`kv: 0,2 m3/h` within braces: a value that ends at the comma, and the rest as a key without a value."""
    value, rest = entry.value, after.key
    if not (isinstance(value, Scalar) and _is_bare(after) and value.mark.line == rest.mark.line):
        return None
    touches = rest.mark.column == value.mark.column + len(value.text) + 1
    if touches and _WHOLE.match(value.text) and _FRACTION.match(rest.text):
        return Scalar(f"{value.text}.{rest.text}", value.mark)
    return None


def _whole(entry: Entry, after: Entry, names: Sequence[str]) -> Scalar | None:
    """`name: slow, at night` within braces: a text that ends at the comma, and the rest as a key without a
    value.
    """
    value, rest = entry.value, after.key
    if not (isinstance(value, Scalar) and _is_bare(after) and value.mark.line == rest.mark.line):
        return None
    known = rest.text in names or any(rest.text.startswith(f"{name} ") for name in names)
    gap = rest.mark.column - value.mark.column - len(value.text)
    return None if known or gap < 1 else Scalar(f"{value.text},{' ' * (gap - 1)}{rest.text}", value.mark)


def _parted(entry: Entry, names: Sequence[str], problems: Problems) -> Entry | None:
    """`length 12 m` or `length:12 m` within braces: a key that the table may have, and its value."""
    key = next((name for name in names if entry.key.text.startswith((f"{name} ", f"{name}:"))), "")
    if not key or entry.key.text in names or not _is_bare(entry):
        return None
    mark, value = entry.key.mark, entry.key.text[len(key) + 1 :].strip()
    read = "a ':' is missing after this key" if entry.key.text[len(key)] == " " else SPACE_MISSING
    problems.add(mark, "broken-yaml", "", read, "", example=f"{key}: {value}")
    at = mark.column + len(entry.key.text) - len(value)
    return Entry(Scalar(key, mark), Scalar(value, Mark(mark.file, mark.line, at)))


def _is_bare(entry: Entry) -> bool:
    """Whether a key has no value."""
    return isinstance(entry.value, Scalar) and not entry.value.text
