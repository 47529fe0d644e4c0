"""Writes what a plan holds by the table of keys.

Rule of this file: it knows the table of keys and nothing of what the keys mean; `plan.write.says` tells what
a key says that is more than the value of one field.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from steadfall.plan.keys import kinds
from steadfall.plan.keys.fits import FITS, part_of, section_of
from steadfall.plan.keys.held import Bounded, Spanned
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.text.lay_out import block, flow, items, level, scalar, time
from steadfall.plan.text.speak import speak
from steadfall.plan.write.says import SAYS, Told
from steadfall.units import written


def lines(thing: Any, section: kinds.Section, told: Told) -> list[str]:
    """A tall table, a key a line; what is named or listed below its key."""
    found: list[str] = []
    for name, kind, value in _said(thing, section, told):
        found += _below(name, kind, value, told)
    return found


def _below(name: str, kind: kinds.Kind | None, value: Any, told: Told) -> list[str]:
    """A key of a tall table."""
    if isinstance(kind, kinds.Either):
        return _below(name, part_of(kind, value), value, told)
    if isinstance(kind, kinds.Many):
        return block(name, (f"- {row(item, section_of(kind, item), told)}" for item in value))
    if isinstance(kind, kinds.Named):
        section = SECTIONS[kind.section]
        return block(name, (line for key, item in value.items() for line in _under(key, item, section, told)))
    if isinstance(kind, kinds.One) and SECTIONS[kind.section].tall:
        return block(name, lines(value, SECTIONS[kind.section], told))
    return [f"{scalar(name)}: {text(kind, value, told)}"]


def _under(name: str, thing: Any, section: kinds.Section, told: Told) -> list[str]:
    """A thing under its name: in one line, or a tall one over several."""
    if section.tall:
        return block(name, lines(thing, section, told))
    return [f"{scalar(name)}: {row(thing, section, told)}"]


def row(thing: Any, section: kinds.Section, told: Told) -> str:
    """A table in one line."""
    return flow((name, text(kind, value, told)) for name, kind, value in _said(thing, section, told))


def _said(thing: Any, section: kinds.Section, told: Told) -> Iterable[tuple[str, kinds.Kind, Any]]:
    """Each key that says something, its kind and value; the further keys after the first."""
    for key in section.every_key:
        value = _value(thing, key, section, told)
        if key is section.others:
            yield from ((name, key.kind, item) for name, item in value.items())
        elif _says(key.kind, value):
            yield key.name, key.kind, value


def _value(thing: Any, key: kinds.Key, section: kinds.Section, told: Told) -> Any:
    if section.makes is None:
        own = {known.name for known in section.keys}
        further = {name: value for name, value in thing.items() if name not in own}
        return further if key is section.others else thing.get(key.name)
    says = SAYS.get(section.makes, {})
    return says[key.field](thing, told) if key.field in says else getattr(thing, key.field)


def _says(kind: kinds.Kind, value: Any) -> bool:
    """Whether there is anything to write."""
    if isinstance(kind, kinds.Either):
        return part_of(kind, value) is not None
    return FITS[kinds.Words](kind, value) if isinstance(kind, kinds.Words) else value not in (None, ())


def text(kind: kinds.Kind | None, value: Any, told: Told) -> str:
    """A value in one line, as its kind is written."""
    return _KINDS[type(kind)](kind, value, told)


def _words(kind: kinds.Words, value: Any) -> str:
    return kind.words[kind.means.index(value)] if kind.means else str(value)


def _span(value: Spanned) -> str:
    first, second = (written(end, value.dimension, value.unit) for end in (value.first, value.second))
    return f"{first.partition(' ')[0]} .. {second}"


def _bound(kind: kinds.Bound, value: Bounded) -> str:
    return f"{value.bound.replace('_', ' ')} {written(value.value, kind.dimension)}"


def _many(kind: kinds.Many, value: Iterable[Any], told: Told) -> str:
    return items(row(item, section_of(kind, item), told) for item in value)


def _named(kind: kinds.Named, value: Mapping[str, Any], told: Told) -> str:
    return flow((name, row(item, SECTIONS[kind.section], told)) for name, item in value.items())


_KINDS: Mapping[type, Callable[[Any, Any, Told], str]] = {
    kinds.Text: lambda _kind, value, _told: scalar(value),
    kinds.Ref: lambda _kind, value, _told: scalar(value),
    kinds.Solid: lambda _kind, value, _told: scalar(value),
    kinds.Refs: lambda _kind, value, _told: items(map(scalar, value)),
    kinds.Words: lambda kind, value, _told: _words(kind, value),
    kinds.Whole: lambda _kind, value, _told: str(value),
    kinds.Number: lambda _kind, value, _told: written(value, "percent").partition(" ")[0],
    kinds.Amount: lambda kind, value, _told: level(value, kind.dimension),
    kinds.Time: lambda _kind, value, _told: time(value),
    kinds.Measure: lambda _kind, value, _told: written(value.value, value.dimension, value.unit or None),
    kinds.Span: lambda _kind, value, _told: _span(value),
    kinds.Bound: lambda kind, value, _told: _bound(kind, value),
    kinds.Phrase: lambda _kind, value, _told: scalar(speak(value)),
    kinds.Phrases: lambda _kind, value, _told: items(scalar(speak(part)) for part in value),
    kinds.Pattern: lambda _kind, value, _told: scalar(value),
    kinds.One: lambda kind, value, told: row(value, SECTIONS[kind.section], told),
    kinds.Named: _named,
    kinds.Many: _many,
    kinds.Either: lambda kind, value, told: text(part_of(kind, value), value, told),
}
