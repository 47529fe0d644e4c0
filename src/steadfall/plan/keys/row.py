"""Reads a table of the tree by the keys of its section.

Rule of this file: it knows the table of keys and nothing of what the keys mean; a row always has every key of
its section, read, by default, or as unread.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from attrs import field, frozen

from steadfall.plan.keys import kinds
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.keys.value import NOTHING, Context, expected, look, read_value
from steadfall.plan.problems import Problems, did_you_mean, listed, near_miss, short
from steadfall.plan.text.tree import Entry, Items, Node, Scalar, Table
from steadfall.plan.text.words import RESERVED
from steadfall.source import Mark, Marks

# Words that mean something of their own in conditions, calls and tables of valves.
TAKEN = RESERVED | {"permitted", "tripped", "ambient", "idle", "finishing", "name", "climb", "at"}
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9]*(?:_[A-Za-z0-9]+)*\Z")


@frozen
class Row:
    """What a table of the plan says, key by key, with the places."""

    section: str
    values: Mapping[str, Any]
    others: Mapping[str, Any] = field(factory=dict)  # keys that name valves, stages or signals
    given: frozenset[str] = frozenset()
    said: str = ""  # the keys and values as written, in one line
    at: Marks = field(factory=Marks)

    def __getitem__(self, key: str) -> Any:
        return self.values[key]


@frozen
class _Raw:
    """A table's entries sorted into the section's own keys and others."""

    own: Mapping[str, Entry]
    others: Mapping[str, Entry]


def read_row(node: Node, section: str, problems: Problems, *, key: str = "", mark: Mark | None = None) -> Row:
    """The row of a node; `mark` is where its name stands, where it has one."""
    described = SECTIONS[section]
    own = mark or node.mark
    if not isinstance(node, Table):
        example = f"{{{described.keys[0].name}: {described.keys[0].example}, ...}}" if described.keys else ""
        problems.add(
            node.mark, "not-a-table", key, f"{look(node)} is not a table of keys", "keys", example=example
        )
        return _blank(described, own)
    raw = _sorted(node, described, problems)
    values = {item.name: _value(item, raw.own.get(item.name), own, problems) for item in described.keys}
    others = {
        name: _read(entry.value, described.others.kind, Context(name, problems))
        for name, entry in raw.others.items()
        if described.others
    }
    return Row(section, values, others, frozenset(raw.own), _said(node), Marks(own, _places(raw)))


def _blank(described: kinds.Section, own: Mark) -> Row:
    """A row of which nothing could be read, and of which nothing more is said."""
    return Row(
        described.name, {item.name: _nothing(item.kind, own) for item in described.keys}, at=Marks(own)
    )


def _sorted(node: Table, described: kinds.Section, problems: Problems) -> _Raw:
    own: dict[str, Entry] = {}
    others: dict[str, Entry] = {}
    names = [item.name for item in described.keys]
    for entry in node.entries:
        name = entry.key.text
        if name in names:
            own[name] = entry
        elif described.others and not _is_slip(name, names):
            others[name] = entry
        else:
            read = f"'{short(name)}' is not a key of {_article(described.name)}{did_you_mean(name, names)}"
            problems.add(entry.key.mark, "unknown-key", "", read, listed(names, 30))
    return _Raw(own, others)


def _is_slip(name: str, names: list[str]) -> bool:
    """Whether an open key is really a slip of the pen for a fixed one (`climbs`, `nmae`)."""
    return len(name) > 3 and bool(near_miss(name, [known for known in names if len(known) > 3], 0.75))


def _value(item: kinds.Key, entry: Entry | None, own: Mark, problems: Problems) -> Any:
    if entry is not None:
        value = _read(entry.value, item.kind, Context(item.name, problems))
        if item.required and isinstance(item.kind, kinds.Named | kinds.Many) and _is_empty(entry.value):
            problems.add(
                entry.key.mark,
                "empty-value",
                item.name,
                "nothing is given",
                "at least one",
                example=item.example,
            )
        return value
    if item.default is not None:
        return _read(Scalar(item.default, own), item.kind, Context(item.name, problems))
    if item.required:
        problems.add(
            own, "missing-key", item.name, "this key is missing", expected(item.kind), example=item.example
        )
        return _nothing(item.kind, own)
    return {} if isinstance(item.kind, kinds.Named) else () if isinstance(item.kind, kinds.Many) else None


def _is_empty(node: Node) -> bool:
    if isinstance(node, Scalar):
        return not node.text.strip()
    return not (node.entries if isinstance(node, Table) else node.nodes)


def _nothing(kind: kinds.Kind, own: Mark) -> Any:
    if isinstance(kind, kinds.One):
        return _blank(SECTIONS[kind.section], own)
    if isinstance(kind, kinds.Named):
        return {}
    if isinstance(kind, kinds.Many):
        return ()
    if isinstance(kind, kinds.Either):
        return _nothing(kind.kinds[-1], own)
    return NOTHING[type(kind)]


def _read(node: Node, kind: kinds.Kind, context: Context) -> Any:
    reader = _TABLES.get(type(kind))
    return reader(node, kind, context) if reader else read_value(node, kind, context)


def _one(node: Node, kind: kinds.One, context: Context) -> Row:
    return read_row(node, kind.section, context.problems, key=context.key)


def _named(node: Node, kind: kinds.Named, context: Context) -> dict[str, Row]:
    if isinstance(node, Scalar) and not node.text.strip():
        return {}
    if not isinstance(node, Table):
        context.add(
            node.mark, "not-a-table", f"{look(node)} is not a table of names", "names, each with its keys"
        )
        return {}
    rows = {}
    for entry in node.entries:
        _check_name(entry.key, kind, context)
        rows[entry.key.text] = read_row(
            entry.value, kind.section, context.problems, key=entry.key.text, mark=entry.key.mark
        )
    return rows


def _check_name(key: Scalar, kind: kinds.Named, context: Context) -> None:
    parts = key.text.split(".") if kind.dotted else [key.text]
    if kind.free and 0 < len(key.text.strip()) <= 80:
        return
    bad = "" if len(parts) <= 2 and len(key.text) <= 80 else _NOT_A_NAME
    bad = bad or next((said for part in parts if (said := why_no_name(part))), "")
    if bad:
        context.add(key.mark, "name", f"'{short(key.text)}' {bad}", NAME_EXPECTED, "upper_platen")


_NOT_A_NAME = "cannot be a name"
NAME_EXPECTED = "letters, digits and single underscores, beginning with a letter"


def why_no_name(text: str) -> str:
    """Why a text cannot be a name (in structured text neither could it), or nothing."""
    if text in TAKEN:
        return "has a meaning of its own and cannot be a name"
    return "" if _NAME.match(text) else _NOT_A_NAME


def _many(node: Node, kind: kinds.Many, context: Context) -> tuple[Row, ...]:
    if isinstance(node, Scalar) and not node.text.strip():
        return ()
    if not isinstance(node, Items):
        context.add(
            node.mark, "not-a-list", f"{look(node)} is not a list", "a list: each entry on a line with '-'"
        )
        return ()
    rows = []
    for entry in node.nodes:
        item = _spelled_out(entry, kind)
        section = _section_of(item, kind.sections)
        if section is None:
            heads = [SECTIONS[name].keys[0] for name in kind.sections]
            read = "this entry has none of the keys that say what it is"
            example = f"{heads[0].name}: {heads[0].example}"
            context.add(item.mark, "unclear-entry", read, listed(head.name for head in heads), example)
        else:
            rows.append(read_row(item, section, context.problems, key=context.key))
    return tuple(rows)


def _spelled_out(node: Node, kind: kinds.Many) -> Node:
    """An entry of a list that allows texts alone, as a table."""
    if not (kind.short and isinstance(node, Scalar) and node.text.strip()):
        return node
    first = SECTIONS[kind.sections[0]].keys[0].name
    return Table((Entry(Scalar(first, node.mark), node),), node.mark)


def _section_of(node: Node, sections: tuple[str, ...]) -> str | None:
    """The section whose first key the table has; a list of one section needs no telling apart."""
    if len(sections) == 1:
        return sections[0]
    names = {entry.key.text for entry in node.entries} if isinstance(node, Table) else set()
    return next((name for name in sections if SECTIONS[name].keys[0].name in names), None)


def _either(node: Node, kind: kinds.Either, context: Context) -> Any:
    chosen = _choice(node, kind)
    if chosen is None:
        context.add(node.mark, "not-a-choice", f"{look(node)} does not fit here", expected(kind))
        return _nothing(kind.kinds[-1], node.mark)
    return _read(node, chosen, context)


def _choice(node: Node, kind: kinds.Either) -> kinds.Kind | None:
    if isinstance(node, Table):
        tables = [part for part in kind.kinds if isinstance(part, kinds.One)]
        keys = {entry.key.text for entry in node.entries}
        heads = {part.section: [key.name for key in SECTIONS[part.section].keys[:1]] for part in tables}
        return next(
            (part for part in tables if keys & set(heads[part.section])), tables[-1] if tables else None
        )
    if isinstance(node, Items):
        return next((part for part in kind.kinds if isinstance(part, kinds.Refs | kinds.Many)), None)
    scalars = [part for part in kind.kinds if not isinstance(part, kinds.One | kinds.Many | kinds.Refs)]
    words = next((part for part in scalars if isinstance(part, kinds.Words)), None)
    if words and (node.text in words.words or not scalars[1:]):
        return words
    looks_like_value = re.match(r"[+-]?[0-9]", node.text) or isinstance(
        scalars[-1], kinds.Pattern | kinds.Text
    )
    return scalars[-1] if looks_like_value and node.text.strip() else None


_TABLES: Mapping[type, Callable[[Node, Any, Context], Any]] = {
    kinds.One: _one,
    kinds.Named: _named,
    kinds.Many: _many,
    kinds.Either: _either,
}


def _places(raw: _Raw) -> dict[str, Mark]:
    """Where each key's value stands, each entry of a list of texts (`between.0`), and each key itself (`key
    mist`).
    """
    places: dict[str, Mark] = {}
    for entry in (*raw.own.values(), *raw.others.values()):
        places[entry.key.text] = entry.value.mark
        places[f"key {entry.key.text}"] = entry.key.mark
        if isinstance(entry.value, Items):
            places.update({f"{entry.key.text}.{i}": item.mark for i, item in enumerate(entry.value.nodes)})
    return places


def _said(node: Table) -> str:
    parts = []
    for entry in node.entries:
        texts = entry.value.nodes if isinstance(entry.value, Items) else (entry.value,)
        words = " and ".join(item.text for item in texts if isinstance(item, Scalar))
        parts.append(f"{entry.key.text} {words}")
    return ", ".join(parts)


def _article(section: str) -> str:
    words = section.replace("_", " ")
    return "the plan" if section == "plan" else f"an {words}" if words[0] in "aeiou" else f"a {words}"
