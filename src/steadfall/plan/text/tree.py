"""YAML text to a tree in which every key and value knows its line and column.

Rule of this file: only the plain part of YAML is read (tables, lists, text), from the parser's events and
without recursion. Every scalar stays text: what `on`, `010` or `1e3` mean is for the key to say.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import yaml
from attrs import frozen

from steadfall.plan.problems import Problems, short
from steadfall.source import Mark, PlanError, Problem

LARGEST_TEXT = 1_000_000  # characters; a plan of eight circuits is about 20,000
DEEPEST = 20  # a plan needs about 7 levels

_TOO_DEEP = "tables and lists are nested too deeply here"

# libyaml where PyYAML was built with it (ten times faster), else the same parser in Python.
_LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


@frozen
class Scalar:
    """A text with its place. `inline`: the text stands in its line letter by letter, so that offsets are
    columns.
    """

    text: str
    mark: Mark
    inline: bool = True


@frozen
class Entry:
    """A key with its value."""

    key: Scalar
    value: Node


@frozen
class Table:
    """Keys and values, in the order of the text; no key twice."""

    entries: tuple[Entry, ...]
    mark: Mark


@frozen
class Items:
    """A list."""

    nodes: tuple[Node, ...]
    mark: Mark


Node = Scalar | Table | Items


class _Open:
    """A table or list that is still being read."""

    def __init__(self, mark: Mark, is_table: bool) -> None:
        self.mark = mark
        self.is_table = is_table
        self.nodes: list[Node] = []
        self.entries: dict[str, Entry] = {}
        self.key: Scalar | None = None


def read_tree(text: str, file: str, problems: Problems) -> Node:
    """The tree of a text; raises PlanError where nothing sensible can be read on."""
    _refuse_at_sight(text, file)
    builder = _Builder(file, problems)
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            builder.take(event)
    except PlanError as error:
        raise PlanError(error.problems, text) from None
    except yaml.YAMLError as error:
        raise PlanError([*problems.found(), _broken(error, file, text)], text) from None
    if problems and builder.misleading:
        raise PlanError(problems.found(), text)
    if builder.root is None or (isinstance(builder.root, Scalar) and not builder.root.text.strip()):
        problems.add(
            Mark(file, 1, 1), "empty", "", "there is no plan in this text", "keys", example="steadfall: 1"
        )
        raise PlanError(problems.found(), text)
    return builder.root


class _Builder:
    """Takes events one by one and leaves a tree in `root`."""

    def __init__(self, file: str, problems: Problems) -> None:
        self.file = file
        self.problems = problems
        self.stack: list[_Open] = []
        self.root: Node | None = None
        self.misleading = False  # anchors and the like: the text does not say what it seems to say
        self.documents = 0
        self.refused: set[str] = set()

    def take(self, event: yaml.Event) -> None:
        mark = _mark(event.start_mark, self.file)
        if isinstance(event, yaml.DocumentStartEvent):
            self._document(mark)
        elif isinstance(event, yaml.AliasEvent):
            self._refuse(
                mark, "alias", f"'*{short(str(event.anchor))}' repeats another part", "the values written out"
            )
            self._put(Scalar("", mark))
        elif isinstance(event, yaml.ScalarEvent):
            self._decorations(event, mark)
            self._put(_scalar(event, mark))
        elif isinstance(event, yaml.CollectionStartEvent):
            self._decorations(event, mark)
            self._open(mark, isinstance(event, yaml.MappingStartEvent))
        elif isinstance(event, yaml.CollectionEndEvent):
            self._close()

    def _document(self, mark: Mark) -> None:
        self.documents += 1
        if self.documents > 1:
            self.problems.add(
                mark, "second-document", "", "a second document begins here", "one plan in one file"
            )
            raise PlanError(self.problems.found())

    def _decorations(self, event: Any, mark: Mark) -> None:
        if event.anchor is not None:
            self._refuse(
                mark,
                "anchor",
                f"'&{short(str(event.anchor))}' names a part",
                "no anchors: write the values out",
            )
        if event.tag is not None:
            self._refuse(mark, "tag", f"'{short(event.tag)}' is a tag", "plain text without tags")

    def _refuse(self, mark: Mark, slug: str, read: str, expected: str) -> None:
        """Reports each such thing once, however often it is used."""
        self.misleading = True
        if read not in self.refused:
            self.problems.add(mark, slug, "", read, expected)
        self.refused.add(read)

    def _open(self, mark: Mark, is_table: bool) -> None:
        if len(self.stack) >= DEEPEST:
            expected = f"at most {DEEPEST} levels"
            self.problems.add(mark, "too-deep", "", _TOO_DEEP, expected)
            raise PlanError(self.problems.found())
        self.stack.append(_Open(mark, is_table))

    def _close(self) -> None:
        done = self.stack.pop()
        node = (
            Table(tuple(done.entries.values()), done.mark)
            if done.is_table
            else Items(tuple(done.nodes), done.mark)
        )
        self._put(node)

    def _put(self, node: Node) -> None:
        if not self.stack:
            self.root = node
            return
        top = self.stack[-1]
        if not top.is_table:
            top.nodes.append(node)
        elif top.key is None:
            top.key = self._key(node)
        else:
            self._pair(top, top.key, node)
            top.key = None

    def _key(self, node: Node) -> Scalar:
        if isinstance(node, Scalar):
            return node
        self._refuse(
            node.mark, "key-not-text", "a table or list stands where a key should", "a plain text as the key"
        )
        return Scalar("", node.mark)

    def _pair(self, top: _Open, key: Scalar, value: Node) -> None:
        if _NO_COLON.match(key.text):
            known = self.problems.found()
            raise PlanError([*known, Problem(key.mark, "broken-yaml", "", _COLON_MISSING, "")])
        if key.text == "<<":
            self._refuse(key.mark, "merge", "'<<' merges another part", "the values written out")
        elif key.text in top.entries:
            first = top.entries[key.text].key.mark.line
            expected = "each key, and each name, once"
            self.problems.add(
                key.mark, "duplicate", short(key.text), f"already given in line {first}", expected
            )
        else:
            top.entries[key.text] = Entry(key, value)


def _mark(place: Any, file: str) -> Mark:
    """The parser counts from 0."""
    return Mark(file, place.line + 1, place.column + 1)


def _scalar(event: Any, mark: Mark) -> Scalar:
    """The text of an event; a quoted one begins one column further on."""
    one_line = event.start_mark.line == event.end_mark.line
    width = event.end_mark.column - event.start_mark.column
    quoted = event.style in ("'", '"')
    inline = one_line and width == len(event.value) + 2 * quoted
    return Scalar(event.value, Mark(mark.file, mark.line, mark.column + quoted) if inline else mark, inline)


_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufeff\ufffe\uffff]")
_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")


def _refuse_at_sight(text: str, file: str) -> None:
    """Refuses what must not reach the parser: too much text, unprintable characters, tabs as indentation."""
    if len(text) > LARGEST_TEXT:
        read = f"the text has {len(text):,} characters"
        raise PlanError(
            [Problem(Mark(file, 1, 1), "too-large", "", read, f"a plan of at most {LARGEST_TEXT:,}")]
        )
    odd = _UNPRINTABLE.search(text)
    if odd:
        before = _BREAK.split(text[: odd.start()])
        mark = Mark(file, len(before), len(before[-1]) + 1)
        read = f"character U+{ord(odd.group()):04X} cannot be printed"
        raise PlanError([Problem(mark, "unprintable", "", read, "plain text in UTF-8")], text)
    problems = Problems()
    for mark in _tabs(text, file):
        problems.add(mark, "tab", "", "a tab in the indentation", "spaces")
    if problems:
        raise PlanError(problems.found(), text)


def _tabs(text: str, file: str) -> Iterator[Mark]:
    for row, line in enumerate(_BREAK.split(text), 1):
        indent = line[: len(line) - len(line.lstrip(" \t"))]
        if "\t" in indent and len(indent) < len(line) and line[len(indent)] != "#":
            yield Mark(file, row, indent.index("\t") + 1)


# What the parser says (either of its two builds) -> what a person can do about it.
# A `{line}` is where the unfinished part begins; the quote that is not closed is shown where it opens.
_OPEN_QUOTE = "a quote opens here and is not closed"
_COLON_MISSING = "a ':' is missing after this key"
_COLON_STRAY = "a ':' where none can stand; quote the text, or begin a new line"
_PLAINER: tuple[tuple[str, str], ...] = (
    (
        r"did not find expected ',' or '}'|expected ',' or '}'",
        "a ',' or the closing '}' is missing before this place; the '{' stands in line {line}",
    ),
    (
        r"did not find expected ',' or '\]'|expected ',' or '\]'",
        "a ',' or the closing ']' is missing before this place; the '[' stands in line {line}",
    ),
    (r"mapping values are not allowed", _COLON_STRAY),
    (r"could not find expected ':'", _COLON_MISSING),
    (r"unexpected end of stream|found unexpected end", _OPEN_QUOTE),
    (r"cannot start any token", "this character cannot begin a text; put the text in quotes"),
    (
        r"did not find expected key|expected <block end>",
        "the indentation does not fit the lines above, or a quote is missing",
    ),
    (r"did not find expected '-' indicator", "a list item is not in line with the '-' above"),
    (r"unknown escape|escape", "an unknown '\\' in a text in double quotes; use single quotes"),
    (r"undefined alias|undefined tag|tag", "a '!' or '*' begins this text; put the text in quotes"),
)


# A key, and its value in braces or brackets, with no colon between.
_NO_COLON = re.compile(r"\s*(- +)?(?P<key>[A-Za-z_][\w.]*) +[{\[]")


def _broken(error: yaml.YAMLError, file: str, text: str) -> Problem:
    """The parser's complaint as a problem in plain words."""
    said = str(getattr(error, "problem", "") or "it cannot be parsed")
    began = getattr(error, "context_mark", None)
    place = getattr(error, "problem_mark", None) or began
    plain = next(
        (plainer for pattern, plainer in _PLAINER if re.search(pattern, said)), f"this is not YAML: {said}"
    )
    place = began if plain in (_OPEN_QUOTE, _COLON_MISSING) and began else place
    mark = _mark(place, file) if place else Mark(file, 1, 1)
    keyed = _NO_COLON.match(_BREAK.split(text)[mark.line - 1]) if plain == _COLON_STRAY else None
    if keyed:
        mark, plain = Mark(file, mark.line, keyed.start("key") + 1), _COLON_MISSING
    if "{line}" in plain:
        plain = plain.replace("{line}", str(_mark(began or place, file).line))
    if "nesting depth" in said:
        return Problem(mark, "too-deep", "", _TOO_DEEP, f"at most {DEEPEST} levels")
    return Problem(mark, "broken-yaml", "", plain, "")
