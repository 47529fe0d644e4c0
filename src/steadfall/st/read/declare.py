"""Units and their variables: what a text declares, before anything is run."""

from __future__ import annotations

from collections.abc import Iterator, Set

from attrs import field, frozen

from steadfall.source import Mark, Problem
from steadfall.st.read.address import canonical
from steadfall.st.read.space import UnreadableError
from steadfall.st.read.text import Part, Tree, is_phrase, place

UNITS = ("program", "function_block", "function")


@frozen
class Variable:
    """A declared variable; `first` is its first value as a tree, or None."""

    name: str
    section: str  # "VAR", "VAR_INPUT" ...
    type: str  # in capitals
    first: Tree | None
    constant: bool
    retained: bool
    address: str  # in its one spelling, or ""
    mark: Mark


@frozen
class Unit:
    """A program, function block or function; variables by small letters, in order."""

    kind: str
    name: str
    result: str
    variables: dict[str, Variable]
    body: Tree | None
    mark: Mark = field(eq=False)

    def of(self, *sections: str) -> list[Variable]:
        """The variables of these sections, in order."""
        return [row for row in self.variables.values() if row.section in sections]


@frozen
class Text:
    """Everything a text declares: units by small letters, and global variables."""

    name: str
    units: dict[str, Unit]
    globals: dict[str, Variable]


def declare(tree: Tree, name: str, problems: set[Problem]) -> Text:
    """The units of a text."""
    units: dict[str, Unit] = {}
    loose: dict[str, Variable] = {}
    for part in tree.children:
        if part.data == "section":
            _add(loose, _section(part, name), problems)
            continue
        unit = _unit(part, name, problems)
        if unit.name.lower() in units:
            problems.add(
                Problem(unit.mark, "declared-twice", "", f"'{unit.name}' is declared twice", "another name")
            )
        units[unit.name.lower()] = unit
    return Text(name, units, loose)


def misplaced(text: Text, program: Unit) -> Iterator[Problem]:
    """External variables that are no global ones, and globals that the program hides."""
    for unit in text.units.values():
        for row in unit.of("VAR_EXTERNAL"):
            shared = text.globals.get(row.name.lower())
            if shared is None:
                read = f"'{row.name}' is external, and no VAR_GLOBAL here declares it"
                yield Problem(row.mark, "unknown-name", "", read, "its VAR_GLOBAL")
            elif shared.type != row.type:
                read = f"'{row.name}' is {row.type} here and {shared.type} in line {shared.mark.line}"
                yield Problem(row.mark, "type", "", read, shared.type)
    for row in program.variables.values():
        if row.section != "VAR_EXTERNAL" and row.name.lower() in text.globals:
            read = f"'{row.name}' is declared here and as a global variable"
            yield Problem(row.mark, "declared-twice", "", read, "another name")


def _unit(part: Tree, name: str, problems: set[Problem]) -> Unit:
    words = [child for child in part.children if not is_phrase(child)]
    variables: dict[str, Variable] = {}
    for child in part.children:
        if is_phrase(child) and child.data == "section":
            _add(variables, _section(child, name), problems)
    body = next((child for child in part.children if is_phrase(child) and child.data == "body"), None)
    result = str(words[1]).upper() if len(words) > 1 else ""
    mark = place(words[0], name)
    if result:
        variables[str(words[0]).lower()] = Variable(
            str(words[0]), "VAR_OUTPUT", result, None, False, False, "", mark
        )
    return Unit(part.data, str(words[0]), result, variables, body, mark)


def _add(found: dict[str, Variable], rows: Iterator[Variable], problems: set[Problem]) -> None:
    for row in rows:
        if row.name.lower() in found:
            problems.add(
                Problem(row.mark, "declared-twice", "", f"'{row.name}' is declared twice", "another name")
            )
        found[row.name.lower()] = row


def _section(part: Tree, name: str) -> Iterator[Variable]:
    section = str(part.children[0]).upper()
    words = {str(child).upper() for child in part.children[1:] if not is_phrase(child)}
    for declaration in part.children:
        if is_phrase(declaration):
            yield from _declaration(declaration, section, words, name)


def _declaration(part: Tree, section: str, words: Set[str], name: str) -> Iterator[Variable]:
    declared = [child for child in part.children if is_phrase(child) and child.data == "declared"]
    rest = part.children[len(declared) :]
    first = rest[1] if len(rest) > 1 else None
    for one in declared:
        address = canonical(str(one.children[1])) if len(one.children) > 1 else ""
        where = place(one.children[0], name)
        kind, how = str(rest[0]).upper(), ("CONSTANT" in words, "RETAIN" in words)
        yield Variable(str(one.children[0]), section, kind, first, *how, address, where)


def presets(first: Tree | None, name: str) -> dict[str, tuple[Part, Mark]]:
    """The first values of a block's inputs, such as `(PT := T#5s)`."""
    if first is None:
        return {}
    if first.data != "presets":
        raise UnreadableError(
            place(first, name), "value", "a block has no value", "its inputs", "(PT := T#5s)"
        )
    return {str(row.children[0]).lower(): (row.children[1], place(row, name)) for row in first.children}
