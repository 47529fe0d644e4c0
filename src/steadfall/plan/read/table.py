"""Reads a table of the tree into the class of its section.

Rule of this file: it knows the table of keys and nothing of what the keys mean. Every field is filled, by its
key, by its default, or by what stands for an unread one; `plan.read.fills` fills those that are more than
one key's value.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

import attrs
from attrs import evolve, frozen

from steadfall.plan.keys import kinds
from steadfall.plan.keys.naming import NAME_EXPECTED, NOT_A_NAME, why_no_name
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.model import NO_PLANT
from steadfall.plan.problems import did_you_mean, listed, near_miss, short
from steadfall.plan.read.fills import FILLS
from steadfall.plan.read.known import Here
from steadfall.plan.read.slips import alike, in_place_of, mended
from steadfall.plan.read.value import NOTHING, Context, expected, look, read_value
from steadfall.plan.text.tree import Entry, Items, Node, Scalar, Table
from steadfall.source import Mark, Marks


@frozen
class Entries:
    """A table's entries sorted into the section's own keys and others, with their places."""

    own: Mapping[str, Entry]
    others: Mapping[str, Entry]
    at: Marks
    said: str  # the keys and values as written, in one line
    section: str
    is_table: bool = True
    told: frozenset[str] = frozenset()  # keys that are missing, as another's place has said already


def read_table(node: Node, section: kinds.Section, context: Context, name: Scalar | None = None) -> Any:
    """What a node says, as its section's class; `name` is what it stands under, where it has a name."""
    entries = sort(node, section, context, name.mark if name else node.mark)
    inner = evolve(context, names=context.names | _defined(section, entries))
    values = {key.field: read_key(key, entries, inner) for key in section.keys}
    return made(section, values, entries, inner, name.text if name else "")


def _defined(section: kinds.Section, entries: Entries) -> frozenset[str]:
    """The names that a table gives to things."""
    tables = [
        entries.own[key.name].value
        for key in section.keys
        if isinstance(key.kind, kinds.Named) and key.name in entries.own
    ]
    return frozenset(
        entry.key.text for table in tables if isinstance(table, Table) for entry in table.entries
    )


def sort(node: Node, section: kinds.Section, context: Context, own: Mark) -> Entries:
    """The entries of a node; a problem for each key that the section lacks, or where there is no table."""
    if not isinstance(node, Table):
        example = f"{{{section.keys[0].name}: {section.keys[0].example}, ...}}" if section.keys else ""
        context.add(node.mark, "not-a-table", f"{look(node)} is not a table of keys", "keys", example)
        return Entries({}, {}, Marks(own), "", section.name, is_table=False)
    known: dict[str, Entry] = {}
    others: dict[str, Entry] = {}
    strays: list[Entry] = []
    names = [key.name for key in section.keys]
    for entry in mended(node.entries, section.keys, context.problems):
        name = entry.key.text
        if name in names:
            known[name] = entry
        elif section.others and (name in context.names or not _is_slip(name, names)):
            others[name] = entry
        else:
            strays.append(entry)
    meant = in_place_of(strays, section, known, has_plant=context.known.given.has_plant)
    for entry in strays:
        name, key = entry.key.text, meant.get(entry)
        read = f"'{short(name)}' is not a key of {_article(section.name)}"
        if key is None:
            read += did_you_mean(name, names)
            context.problems.add(entry.key.mark, "unknown-key", "", read, listed(names, 30))
        else:
            read += f", and '{key.name}' is missing"
            example = f"{key.name}: {_in_short(entry.value) or key.example}"
            context.problems.add(entry.key.mark, "unknown-key", "", read, f"'{key.name}'", example=example)
            if alike(entry, key):
                known[key.name] = Entry(Scalar(key.name, entry.key.mark), entry.value)
    told = frozenset(key.name for key in meant.values())
    at = Marks(own, _places([*known.values(), *others.values()]))
    return Entries(known, others, at, _said(node), section.name, told=told)


def _in_short(node: Node) -> str:
    return node.text if isinstance(node, Scalar) and len(node.text) <= 40 else ""


def _is_slip(name: str, names: list[str]) -> bool:
    """Whether an open key is really a slip of the pen for a fixed one (`climbs`, `nmae`)."""
    return len(name) > 3 and bool(near_miss(name, [known for known in names if len(known) > 3], 0.75))


def read_key(key: kinds.Key, entries: Entries, context: Context) -> Any:
    """The value of a key of a table, or what stands for it where it is left out."""
    inner = context.of(key.name, key.example)
    entry = entries.own.get(key.name)
    if entry is not None:
        value = _read(entry.value, key.kind, inner)
        if key.required and isinstance(key.kind, kinds.Named | kinds.Many) and _is_empty(entry.value):
            inner.add(entry.key.mark, "empty-value", "nothing is given", "at least one", key.example)
        return value
    if key.of_plant and not context.known.given.has_plant:
        return NO_PLANT
    if key.default is not None and entries.is_table:
        return _read(Scalar(key.default, entries.at.own), key.kind, inner)
    if key.required and entries.is_table and key.name not in entries.told:
        read = context.known.given.missing(entries.section, key)
        inner.add(entries.at.own, "missing-key", read, expected(key.kind), key.example)
    if key.required or key.default is not None:
        return _nothing(key.kind, entries.at.own, context)
    return {} if isinstance(key.kind, kinds.Named) else () if isinstance(key.kind, kinds.Many) else None


def _is_empty(node: Node) -> bool:
    if isinstance(node, Scalar):
        return not node.text.strip()
    return not (node.entries if isinstance(node, Table) else node.nodes)


def _nothing(kind: kinds.Kind, own: Mark, context: Context) -> Any:
    """What stands for a value that could not be read."""
    if isinstance(kind, kinds.One):
        section = SECTIONS[kind.section]
        unread = Entries({}, {}, Marks(own), "", section.name, is_table=False)
        values = {key.field: read_key(key, unread, context) for key in section.keys}
        return made(section, values, unread, context)
    if isinstance(kind, kinds.Named | kinds.Many):
        return {} if isinstance(kind, kinds.Named) else ()
    if isinstance(kind, kinds.Either):
        return _nothing(kind.kinds[-1], own, context)
    return NOTHING[type(kind)]


def made(
    section: kinds.Section, values: Mapping[str, Any], entries: Entries, context: Context, name: str = ""
) -> Any:
    """The class of a section, its fields filled from the values of its keys."""
    found = dict(values)
    for group in section.one_of:
        if _which(group, entries, context) is None:
            keys = [key for key in section.keys if key.name in group]
            found |= {key.field: _nothing_given(key, entries, context) for key in keys}
    if section.others:
        other = section.others
        found[other.field] = {
            name: _other(entry, other.kind, context) for name, entry in entries.others.items()
        }
    if section.makes is None:
        given = {key.name: found[key.field] for key in section.keys if key.name in entries.own}
        return given | (found[section.others.field] if section.others else {})
    here = Here(context.known, context.problems, entries.at, bool(entries.own), name, entries.said)
    return section.makes(**_fields(section.makes, found, here))


def _other(entry: Entry, kind: kinds.Kind, context: Context) -> Any:
    """The value of a further key; a table there goes by the key's name."""
    inner = context.of(entry.key.text)
    if isinstance(kind, kinds.One):
        return read_table(entry.value, SECTIONS[kind.section], inner, entry.key)
    return _read(entry.value, kind, inner)


def _nothing_given(key: kinds.Key, entries: Entries, context: Context) -> Any:
    return None if isinstance(key.kind, kinds.One) else _nothing(key.kind, entries.at.own, context)


def _fields(makes: type, values: Mapping[str, Any], here: Here) -> dict[str, Any]:
    """Every field of which something is said; the class has defaults for the others."""
    said = {"name": here.name, "text": here.said, "at": here.at, **values}
    found = {
        field.name: said[field.name]
        for field in attrs.fields(makes)
        if field.name in said and (said[field.name] is not None or field.default is attrs.NOTHING)
    }
    for fill in FILLS.get(makes, ()):
        found |= fill.made(values, here)
    return found


def _which(group: tuple[str, ...], entries: Entries, context: Context) -> str | None:
    """The one key of a group that is given; a problem where several are, or none."""
    given = [key for key in group if key in entries.own]
    if len(given) == 1:
        return given[0]
    if entries.own:
        two = len(group) == 2
        count = ("both" if two else "more than one") if given else ("neither" if two else "none")
        quoted = [f"'{key}'" for key in group]
        read = f"{count} of {', '.join(quoted[:-1])} and {quoted[-1]} given"
        place = entries.at.of(f"key {given[1]}") if given else entries.at.own
        wanted = "one of the two" if two else "one of them"
        context.of(group[0]).add(place, "one-of-two" if two else "one-of-many", read, wanted)
    return None


def _read(node: Node, kind: kinds.Kind, context: Context) -> Any:
    reader = _TABLES.get(type(kind))
    return reader(node, kind, context) if reader else read_value(node, kind, context)


def _one(node: Node, kind: kinds.One, context: Context) -> Any:
    return read_table(node, SECTIONS[kind.section], context)


def _named(node: Node, kind: kinds.Named, context: Context) -> dict[str, Any]:
    if isinstance(node, Scalar) and not node.text.strip():
        return {}
    if not isinstance(node, Table):
        read = f"{look(node)} is not a table of names"
        context.add(node.mark, "not-a-table", read, "names, each with its keys")
        return {}
    section = SECTIONS[kind.section]
    for entry in node.entries:
        _check_name(entry.key, kind, context)
    return {
        entry.key.text: read_table(entry.value, section, context.of(entry.key.text), entry.key)
        for entry in node.entries
    }


def _check_name(key: Scalar, kind: kinds.Named, context: Context) -> None:
    parts = key.text.split(".") if kind.dotted else [key.text]
    if kind.free and 0 < len(key.text.strip()) <= 80:
        return
    bad = "" if len(parts) <= 2 and len(key.text) <= 80 else NOT_A_NAME
    bad = bad or next((said for part in parts if (said := why_no_name(part))), "")
    if bad:
        lined = key.text.replace("-", "_")
        example = "upper_platen" if lined == key.text or why_no_name(lined) else lined
        context.add(key.mark, "name", f"'{short(key.text)}' {bad}", NAME_EXPECTED, example)


def _many(node: Node, kind: kinds.Many, context: Context) -> tuple[Any, ...]:
    if isinstance(node, Scalar) and not node.text.strip():
        return ()
    if not isinstance(node, Items):
        read = f"{look(node)} is not a list"
        context.add(node.mark, "not-a-list", read, "a list: each entry on a line with '-'")
        return ()
    found = []
    for entry in node.nodes:
        item = _spelled_out(entry, kind)
        section = _section_of(item, kind.sections)
        if section is None:
            heads = [SECTIONS[name].keys[0] for name in kind.sections]
            read = "this entry has none of the keys that say what it is"
            example = f"{heads[0].name}: {heads[0].example}"
            context.add(item.mark, "unclear-entry", read, listed(head.name for head in heads), example)
        else:
            found.append(read_table(item, SECTIONS[section], context))
    return tuple(found)


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
        return _nothing(kind, node.mark, context)
    return _read(node, chosen, context)


def _choice(node: Node, kind: kinds.Either) -> kinds.Kind | None:
    if isinstance(node, Table):
        tables = [part for part in kind.kinds if isinstance(part, kinds.One)]
        keys = {entry.key.text for entry in node.entries if isinstance(entry.value, Scalar)}
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
        scalars[-1], kinds.Pattern | kinds.Text | kinds.Phrase
    )
    return scalars[-1] if looks_like_value and node.text.strip() else None


_TABLES: Mapping[type, Callable[[Node, Any, Context], Any]] = {
    kinds.One: _one,
    kinds.Named: _named,
    kinds.Many: _many,
    kinds.Either: _either,
}


def _places(entries: list[Entry]) -> dict[str, Mark]:
    """Where each key's value stands, each entry of a list of texts (`between.0`), and each key itself (`key
    mist`).
    """
    places: dict[str, Mark] = {}
    for entry in entries:
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
