"""What may stand at a place of a plan: the table of keys, followed from the top."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from steadfall.plan.keys import kinds
from steadfall.plan.keys.table import SECTIONS, TOP
from steadfall.plan.text.where import ITEM

WHOLE: tuple[kinds.Kind, ...] = (kinds.One(TOP.name),)


def kinds_at(path: Iterable[str]) -> tuple[kinds.Kind, ...]:
    """The kinds of value that may stand behind these keys; nothing where a key is not known."""
    found: tuple[kinds.Kind, ...] = WHOLE
    for name in path:
        found = tuple(inner for kind in _each(found) for inner in _behind(kind, name))
    return tuple(_each(found))


def keys_at(path: Iterable[str]) -> tuple[kinds.Key, ...]:
    """The keys that may stand in the table behind these keys, in the order of the table."""
    sections = [SECTIONS[kind.section] for kind in kinds_at(path) if isinstance(kind, kinds.One)]
    found = {key.name: key for section in sections for key in section.every_key if key is not section.others}
    return tuple(found.values())


def key_of(path: Iterable[str]) -> kinds.Key | None:
    """The key that ends this path, where it is one."""
    *before, name = path
    return next((key for key in keys_at(before) if key.name == name), None)


def words_of(kind: kinds.Kind) -> tuple[str, ...]:
    """The words of which a value of this kind is one."""
    return kind.words if isinstance(kind, kinds.Words) else ()


def _each(found: Iterable[kinds.Kind]) -> Iterator[kinds.Kind]:
    for kind in found:
        yield from _each(kind.kinds) if isinstance(kind, kinds.Either) else (kind,)


def _behind(kind: kinds.Kind, name: str) -> Iterator[kinds.Kind]:
    if isinstance(kind, kinds.One):
        section = SECTIONS[kind.section]
        key = next((key for key in section.keys if key.name == name), section.others)
        if key is not None:
            yield key.kind
    elif isinstance(kind, kinds.Named):
        yield kinds.One(kind.section)
    elif isinstance(kind, kinds.Many) and name == ITEM:
        yield from map(kinds.One, kind.sections)
