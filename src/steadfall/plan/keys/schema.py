"""The JSON Schema of a plan, by which editors complete and check it as it is typed.

Rule of this file: everything comes from the table of keys. The schema sees one value at a time; what needs
two (names, orders, sums) is for `plan.check.whole`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from steadfall.dimensions import DIMENSIONS
from steadfall.plan.keys import kinds
from steadfall.plan.keys.table import SECTIONS, TOP

Json = dict[str, Any]
_CLOCK = r"([0-9]{1,3}:[0-5][0-9]|[0-9]{1,4}):[0-5][0-9](\.[0-9]{1,3})?"  # as in a manual: 4:40, 1:04:40
_SETTING = "[A-Za-z][A-Za-z0-9_]*"
_NUMBER = r"[+-]?[0-9]+(\.[0-9]+)?(e[+-]?[0-9]{1,2})?"


def schema() -> Json:
    """The JSON Schema of a plan, draft 2020-12."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Steadfall cooling plan",
        **schema_of(TOP),
        "$defs": {name: schema_of(section) for name, section in SECTIONS.items() if section is not TOP},
    }


def schema_of(section: kinds.Section) -> Json:
    """The part of the schema that describes a section."""
    found: Json = {
        "type": "object",
        "description": section.doc,
        "properties": {key.name: _key(key) for key in section.keys},
        "required": [key.name for key in section.keys if key.required and not key.of_plant],
        "additionalProperties": _key(section.others) if section.others else False,
    }
    of_plant = [key.name for key in section.keys if key.of_plant]
    shows = {
        key.name: [one for one in of_plant if one != key.name] for key in section.keys if key.shows_plant
    }
    return {**found, "dependentRequired": shows} if of_plant and shows else found


def _key(key: kinds.Key) -> Json:
    extra: Json = {"description": key.doc, "examples": [key.example]}
    if key.default is not None:
        extra["default"] = key.default
    return {**_of(key.kind), **extra}


def _of(kind: kinds.Kind) -> Json:
    return _KINDS[type(kind)](kind)


def _pattern(*parts: str) -> Json:
    return {"type": "string", "pattern": "^" + "".join(parts) + "$"}


def units_pattern(dimensions: Iterable[str]) -> str:
    """A regular expression of every unit of these dimensions."""
    spellings = dict.fromkeys(spelling for name in dimensions for spelling in DIMENSIONS[name].spellings)
    return "(" + "|".join(re.escape(spelling) for spelling in spellings) + ")"


def _quantity(dimensions: Iterable[str], other: str = "") -> str:
    """A regular expression of a number and its unit; a time may also be written as on a clock."""
    known = tuple(dimensions)
    parts = [f"{_NUMBER} {units_pattern(known)}", *([_CLOCK] if "time" in known else []), other]
    return f"({'|'.join(part for part in parts if part)})"


def _ref(section: str) -> Json:
    return {"$ref": f"#/$defs/{section}"}


def _table(values: Json) -> Json:
    return {"type": "object", "additionalProperties": values}


def _list(items: Json, least: int = 0, most: int | None = None) -> Json:
    return {
        "type": "array",
        "items": items,
        "minItems": least,
        **({} if most is None else {"maxItems": most}),
    }


def _words(kind: kinds.Words) -> Json:
    """Editors read `on`, `off` and `1` as other than text."""
    other: list[Any] = [{"on": True, "off": False}[word] for word in kind.words if word in ("on", "off")]
    other += [int(word) for word in kind.words if word.isdigit()]
    return {"enum": [*kind.words, *other]}


def _many(kind: kinds.Many) -> Json:
    refs = [_ref(section) for section in kind.sections]
    refs += [_of(SECTIONS[kind.sections[0]].keys[0].kind)] if kind.short else []
    return _list(refs[0] if len(refs) == 1 else {"anyOf": refs})


def _whole(kind: kinds.Whole) -> Json:
    return {"anyOf": [{"type": "integer", "minimum": kind.least, "maximum": kind.most}, _pattern("[0-9]+")]}


def _number(kind: kinds.Number) -> Json:
    bounds = {"minimum": float(kind.least), "maximum": float(kind.most)}
    return {"anyOf": [{"type": "number", **bounds}, _pattern(_NUMBER)]}


def _amount(kind: kinds.Amount) -> Json:
    amount = f"{_NUMBER} {units_pattern((kind.dimension,))}"
    return _pattern(f"({amount}|{_SETTING})") if kind.set else _pattern(amount)


_TEXT: Json = {
    "type": ["string", "number", "boolean"]
}  # `2026`, `on` and `3.5` are texts where a text stands
_NAME: Json = {"type": "string", "minLength": 1}
_CONDITION: Json = {"anyOf": [{"type": "string", "minLength": 1}, {"type": "boolean"}]}

_KINDS: Mapping[type, Callable[[Any], Json]] = {
    kinds.Text: lambda _: dict(_TEXT),
    kinds.Ref: lambda _: dict(_NAME),
    kinds.Solid: lambda _: dict(_NAME),
    kinds.Refs: lambda kind: _list(_NAME, kind.least, kind.most),
    kinds.Words: _words,
    kinds.Whole: _whole,
    kinds.Number: _number,
    kinds.Amount: _amount,
    kinds.Time: lambda kind: _pattern(_quantity(("time",), _SETTING if kind.set else "")),
    kinds.Measure: lambda kind: _pattern(_quantity(kind.dimensions)),
    kinds.Span: lambda kind: _pattern(
        f"({_NUMBER}|{_quantity(kind.dimensions)})", r" \.\. ", _quantity(kind.dimensions)
    ),
    kinds.Bound: lambda kind: _pattern("at (most|least) ", _NUMBER, " ", units_pattern((kind.dimension,))),
    kinds.Phrase: lambda _: dict(_CONDITION),
    kinds.Phrases: lambda _: _list(_CONDITION, 2),
    kinds.Pattern: lambda kind: _pattern(re.sub(r"\(\?P<[a-z]+>", "(", kind.regex)),
    kinds.One: lambda kind: _ref(kind.section),
    kinds.Named: lambda kind: _table(_ref(kind.section)),
    kinds.Many: _many,
    kinds.Either: lambda kind: {"anyOf": [_of(part) for part in kind.kinds]},
}
