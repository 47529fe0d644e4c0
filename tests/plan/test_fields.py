"""Each key fills a field of its section's class: the table, the classes and the functions between fit."""

import ast
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from types import NoneType
from typing import Any, Union, get_args, get_origin, get_type_hints

import attrs
import pytest
from attrs import frozen

from steadfall.plan.keys import kinds
from steadfall.plan.keys.held import Bounded, Measured, Spanned
from steadfall.plan.keys.reference import reference_of
from steadfall.plan.keys.schema import schema_of
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.model.condition import Condition
from steadfall.plan.problems import Problems
from steadfall.plan.read.fills import FILLS, HERE
from steadfall.plan.read.known import Here
from steadfall.plan.read.table import read_table
from steadfall.plan.read.value import Context
from steadfall.plan.read.whole import read_file
from steadfall.plan.text.tree import read_tree
from steadfall.plan.write.says import SAYS, Told
from steadfall.plan.write.table import row
from steadfall.source import Marks, at
from tests.plan.paths import GOOD, ROOT

PLAN = ROOT / "src" / "steadfall" / "plan"
FROM_THE_PLACE = {"name", "text", "at"}
# What a plan does not say: the version is that of the language; a factor is for tolerances; text and digest
# are of the whole file; terminals are another way to say the wiring.
NO_FIELD = {("plan", "steadfall")}
NO_KEY = {("path", "host_factor"), ("plan", "digest"), ("plan", "text"), ("io_list", "terminals")}
NAMED = [section for section in SECTIONS.values() if section.makes]
Types = frozenset[Any]


def flat(hint: Any) -> Types:
    """A type as the set of what it allows; a table or list by what is inside."""
    origin, args = get_origin(hint), get_args(hint)
    if origin is Union or type(hint).__name__ == "UnionType":
        return any_of(map(flat, args))
    if origin is not None and issubclass(origin, Mapping):
        return frozenset({("table", flat(args[1]))})
    if origin is tuple and args[1:] == (...,):
        return frozenset({("list", flat(args[0]))})
    return frozenset({hint})


def of_section(name: str) -> Types:
    section = SECTIONS[name]
    if section.makes:
        return frozenset({section.makes})
    return frozenset({("table", any_of(of_kind(key.kind) for key in section.every_key))})


def any_of(types: Iterable[Types]) -> Types:
    return frozenset().union(*types)


def of_kind(kind: kinds.Kind) -> Types:
    """What a key of this kind holds."""
    return HELD[type(kind)](kind)


HELD: Mapping[type, Callable[[Any], Types]] = {
    kinds.Text: lambda _: flat(str),
    kinds.Ref: lambda _: flat(str),
    kinds.Solid: lambda _: flat(str),
    kinds.Refs: lambda _: flat(tuple[str, ...]),
    kinds.Words: lambda kind: frozenset(type(value) for value in kind.means or kind.words),
    kinds.Whole: lambda _: flat(int),
    kinds.Number: lambda _: flat(float),
    kinds.Amount: lambda _: flat(float),
    kinds.Time: lambda _: flat(int),
    kinds.Measure: lambda _: flat(Measured),
    kinds.Span: lambda _: flat(Spanned),
    kinds.Bound: lambda _: flat(Bounded),
    kinds.Phrase: lambda _: flat(Condition),
    kinds.Phrases: lambda _: flat(tuple[Condition, ...]),
    kinds.Pattern: lambda kind: frozenset({kind.makes, NoneType}),
    kinds.One: lambda kind: of_section(kind.section),
    kinds.Named: lambda kind: frozenset({("table", of_section(kind.section))}),
    kinds.Many: lambda kind: frozenset({("list", any_of(map(of_section, kind.sections)))}),
    kinds.Either: lambda kind: any_of(map(of_kind, kind.kinds)),
}


def of_key(key: kinds.Key, section: kinds.Section) -> Types:
    """What a field or parameter is given for a key, None where the key may be left out."""
    if key is section.others:
        return frozenset({("table", of_kind(key.kind))})
    always = key.required or key.default is not None or isinstance(key.kind, kinds.Named | kinds.Many)
    return of_kind(key.kind) if always else of_kind(key.kind) | {NoneType}


def fits(held: Types, allowed: Types) -> bool:
    """Whether every value of one type is one of the other."""

    def inside(one: Any) -> bool:
        if isinstance(one, tuple):
            return any(
                isinstance(other, tuple) and one[0] == other[0] and fits(one[1], other[1])
                for other in allowed
            )
        return one in allowed

    return Any in allowed or all(inside(one) for one in held)


def filled(section: kinds.Section) -> set[str]:
    return {name for fill in FILLS.get(made(section), ()) for name in fill.fields}


def made(section: kinds.Section) -> type:
    assert section.makes is not None
    return section.makes


@pytest.mark.parametrize("section", NAMED, ids=lambda section: section.name)
def test_keys_and_fields_are_one_to_one(section: kinds.Section) -> None:
    fields = {field.name for field in attrs.fields(made(section))}
    keys = {key.field for key in section.every_key}
    used = {name for fill in FILLS.get(made(section), ()) for name in fill.keys}
    assert len(keys) == len(section.every_key)
    lost = keys - fields - used - {name for owner, name in NO_FIELD if owner == section.name}
    assert lost == set(), "keys that fill no field"
    own = {name for owner, name in NO_KEY if owner == section.name}
    assert fields - keys - filled(section) - FROM_THE_PLACE - own == set(), "fields that no key fills"


@pytest.mark.parametrize("section", NAMED, ids=lambda section: section.name)
def test_each_key_holds_what_its_field_is(section: kinds.Section) -> None:
    hints = get_type_hints(made(section))
    for key in section.every_key:
        if key.field in hints and key.field not in filled(section):
            held = of_key(key, section)
            default = attrs.fields_dict(made(section))[key.field].default
            if default not in (attrs.NOTHING, None):
                held -= {NoneType}
            assert fits(held, flat(hints[key.field])), key.name


@pytest.mark.parametrize("makes", list(FILLS), ids=lambda makes: makes.__name__)
def test_what_fills_fields_takes_what_its_keys_hold(makes: type) -> None:
    [section] = [section for section in NAMED if section.makes is makes]
    known = {key.field: key for key in section.every_key}
    hints = get_type_hints(makes)
    for fill in FILLS[makes]:
        types = get_type_hints(fill.make)
        for name in fill.keys:
            held = flat(Here) if name == HERE else of_key(known[name], section)
            assert fits(held, flat(types[name])), name
        results = get_args(types["return"]) if len(fill.fields) > 1 else (types["return"],)
        for name, result in zip(fill.fields, results, strict=True):
            assert fits(flat(result), flat(hints[name])), name


@pytest.mark.parametrize("makes", list(SAYS), ids=lambda makes: makes.__name__)
def test_what_is_said_is_of_keys(makes: type) -> None:
    sections = [section for section in NAMED if section.makes is makes]
    assert SAYS[makes].keys() <= {key.field for section in sections for key in section.every_key}


@pytest.mark.parametrize("section", NAMED, ids=lambda section: section.name)
def test_every_key_can_be_written(section: kinds.Section) -> None:
    fields = {field.name for field in attrs.fields(made(section))}
    assert {key.field for key in section.every_key} <= fields | SAYS.get(made(section), {}).keys()


def patterns() -> Iterator[kinds.Pattern]:
    for section in SECTIONS.values():
        for key in section.keys:
            parts = key.kind.kinds if isinstance(key.kind, kinds.Either) else (key.kind,)
            yield from (part for part in parts if isinstance(part, kinds.Pattern))


@pytest.mark.parametrize("kind", list(patterns()), ids=lambda kind: kind.makes.__name__)
def test_each_sentence_has_the_parts_of_its_class(kind: kinds.Pattern) -> None:
    assert set(re.compile(kind.regex).groupindex) == {field.name for field in attrs.fields(kind.makes)}


@pytest.mark.parametrize("section", list(SECTIONS.values()), ids=lambda section: section.name)
def test_groups_are_of_optional_keys(section: kinds.Section) -> None:
    for group in section.one_of:
        keys = [key for key in section.keys if key.name in group]
        assert len(keys) == len(group)
        assert not any(key.required or key.default for key in keys)


@frozen
class Strainer:
    """A thing that no plan has, with one field for each key."""

    name: str
    mesh: float
    clean_every_ms: int
    fitted: bool = False
    at: Marks = at()


STRAINER = kinds.Section(
    "strainer",
    "A strainer.",
    (
        kinds.Key("mesh", kinds.Amount("length", "0.1 mm", "5 mm"), "Its mesh.", "0.5 mm", required=True),
        kinds.Key(
            "clean_every", kinds.Time("1 s", "1 h"), "When.", "5 min", default="10 min", into="clean_every_ms"
        ),
        kinds.Key("fitted", kinds.Words(("yes",), (True,)), "Whether.", "yes"),
    ),
    makes=Strainer,
)


def strainer(text: str) -> tuple[Any, Problems]:
    problems = Problems()
    found = read_table(read_tree(text, "plan.yaml", problems), STRAINER, Context("", problems))
    return found, problems


def test_a_new_key_is_a_row_and_a_field() -> None:
    found, problems = strainer("{mesh: 0.5 mm, fitted: yes}")
    assert found == Strainer("", 0.0005, 600_000, fitted=True)
    assert not problems
    told = Told(read_file(GOOD[0]), {})
    text = row(found, STRAINER, told)
    assert text == "{mesh: 0.5 mm, clean_every: 10:00, fitted: yes}"
    assert strainer(text)[0] == found
    assert (
        row(strainer("{mesh: 1 mm, clean_every: 2 s}")[0], STRAINER, told) == "{mesh: 1 mm, clean_every: 2 s}"
    )
    _, problems = strainer("{mehs: 0.5 mm}")
    assert [problem.slug for problem in problems.found()] == ["unknown-key"]
    described = schema_of(STRAINER)
    assert described["required"] == ["mesh"]
    assert set(described["properties"]) == {"mesh", "clean_every", "fitted"}
    assert "| `mesh` (required) | a length, from 0.1 mm to 5 mm | Its mesh. | `0.5 mm` |" in reference_of(
        STRAINER
    )


def named_places(path: Path) -> Iterator[str]:
    """The keys whose places a file asks for, and those that it says problems of: `item.at.of("rated")`."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "of":
            owner = node.func.value
            if (
                isinstance(owner, ast.Attribute)
                and owner.attr == "at"
                and isinstance(node.args[0], ast.Constant)
            ):
                yield str(node.args[0].value).removeprefix("key ")


def test_places_are_asked_for_by_keys_that_there_are() -> None:
    """`at.of("rathed")` would point at the whole table and nobody would see it."""
    known = {key.name for section in SECTIONS.values() for key in section.keys}
    found = {(path.name, key) for path in PLAN.rglob("*.py") for key in named_places(path)}
    assert len(found) > 40
    assert {(name, key) for name, key in found if key not in known} == set()
