"""A unit of code while it is written: its declarations and its statements, from rows of a network.

Rule of this file: statements stand in the order of the rows. A signal's last value is the variable itself until its
own statement, and a copy from the top of the unit below that. Every statement ends with the line of the plan that it
came from. Blocks are called once in every scan without any condition.
"""

from __future__ import annotations

import textwrap
from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import PurePath

from attrs import define, field

from steadfall.emit.blocks import BLOCKS
from steadfall.emit.expression import text
from steadfall.emit.literal import literal
from steadfall.emit.names import Names, ascii_text
from steadfall.emit.split import Row
from steadfall.logic.network import ZERO
from steadfall.logic.nodes import Constant, Type
from steadfall.source import Mark

WIDTH = 110
INDENT = "    "
NOTES = {"far": "longer than any time that is waited for"}
PREFIX = {"SR": "latch", "RS": "latch", "R_TRIG": "edge", "F_TRIG": "edge"}


@define
class Declaration:
    """A variable: its name, type, first value (None: that of its type), note, direct address."""

    name: str
    type: str
    initial: str = ""
    note: str = ""
    address: str = ""

    def line(self) -> str:
        """As a line of a declaration."""
        at = f" AT {self.address}" if self.address else ""
        initial = f" := {self.initial}" if self.initial else ""
        note = f" (* {comment(self.note)} *)" if self.note else ""
        return f"{INDENT}{self.name}{at} : {self.type}{initial};{note}"


@define
class Unit:
    """Collects declarations by section and statements; `names` gives each thing its identifier."""

    names: Names
    order: Mapping[str, int]  # own signals in the order of their statements; inputs are -1
    spelled: dict[str, str] = field(factory=dict)  # signals that are spelled in a way of their own
    states: Sequence[str] = ()  # names of the states of a sequence, at their numbers
    sections: dict[str, list[Declaration]] = field(factory=dict)
    top: list[str] = field(factory=list)
    body: list[str] = field(factory=list)
    end: list[str] = field(factory=list)
    types: dict[str, Type] = field(factory=dict)
    at: int = 0  # the place of the statement that is being written
    copied: set[str] = field(factory=set)
    begun: Collection[str] = ()  # signals that are true before the first scan
    far: bool = True  # times since an event count on past what is asked of them, so that presets can be changed
    constants: dict[str, Declaration] = field(factory=dict)

    def declare(self, section: str, declaration: Declaration) -> None:
        """One more variable."""
        self.sections.setdefault(section, []).append(declaration)

    def variable(self, name: str, kind: str, initial: str = "", note: str = "") -> str:
        """An inner variable of the unit; gives its identifier."""
        word = self.names.of(name, name)
        self.declare("VAR", Declaration(word, kind, initial, note))
        return word

    def signal(self, row: Row, section: str = "VAR", note: str = "") -> str:
        """The variable of a row."""
        word = self.now(row.name)
        initial = literal(row.initial, row.type) if row.initial != ZERO[row.type] else ""
        self.declare(section, Declaration(word, row.type.value, initial, note))
        return word

    def instance(self, name: str, kind: str) -> str:
        """An instance of a standard function block for a signal; gives its identifier."""
        word = self.names.of(("block", name), f"{PREFIX.get(kind, 'timer')}.{name}")
        self.declare("VAR", Declaration(word, kind))
        return word

    def say(self, statement: str, marks: Iterable[Mark], place: list[str] | None = None) -> None:
        """One statement, folded where it is long, with its origin."""
        (self.body if place is None else place).extend(_folded(f"{statement} (* {origin(marks)} *)"))

    # The words of an expression.

    def now(self, name: str) -> str:
        """A signal's value in this scan."""
        return self.spelled.get(name) or self.names.of(name, name)

    def last(self, name: str) -> str:
        """A signal's value at the end of the last scan."""
        written = self.order.get(name, -1)
        if written >= self.at:
            return self.now(name)
        copy = self.names.of(("last", name), f"{name}.last")
        if name not in self.copied:
            self.copied.add(name)
            self.declare("VAR", Declaration(copy, self.types[name].value, "", "value of the last scan"))
            (self.end if written < 0 else self.top).append(f"{copy} := {self.now(name)}; (* value of the last scan *)")
        return copy

    def elapsed(self, name: str) -> str:
        """The elapsed time of a timer."""
        return f"{self.names.known['block', name]}.ET"

    def constant(self, node: Constant) -> str:
        """A constant: its name where it has one, else its value."""
        if node.label.startswith("state."):
            place = int(node.label.removeprefix("state."))
            label = f"state.{self.states[place]}" if place < len(self.states) else ""
        else:
            label = node.label
        if not label:
            return literal(node.value, node.type)
        word = self.names.of(("constant", label, node.value, node.type), label.upper())
        if word not in self.constants:
            note = f"{label}, {origin([node.mark])}" if node.mark.line else NOTES.get(label, "")
            self.constants[word] = Declaration(word, node.type.value, literal(node.value, node.type), note)
        return word

    def row(self, row: Row, place: int) -> None:
        """The statement or call of one row."""
        self.at = place
        writer = BLOCKS.get(type(row.node))
        if writer is not None:
            writer(self, row)
        else:
            self.say(f"{self.now(row.name)} := {text(row.node, self)};", row.marks)

    def listing(self, head: str, end: str) -> str:
        """The whole unit as text."""
        lines = [head]
        presets = [row for row in self.constants.values() if row.note and row.note not in NOTES.values()]
        others = [row for row in self.constants.values() if row not in presets]
        sections = {"VAR CONSTANT": [*presets, *others], **self.sections}
        for section in ("VAR_INPUT", "VAR_OUTPUT", "VAR CONSTANT", "VAR"):
            if sections.get(section):
                lines += [section, *(row.line() for row in sections[section]), "END_VAR"]
        return "\n".join([*lines, "", *self.top, *self.body, *self.end, end, ""])


def _folded(statement: str) -> list[str]:
    """A statement on as few lines as it needs; its comment and `X := Y` stay together."""
    kept = statement.replace(" := ", "\0:=\0")
    said, opening, rest = kept.rpartition("(* ")
    kept = said + (opening + rest).replace(" ", "\0")
    lines = textwrap.wrap(kept, WIDTH, subsequent_indent=INDENT, break_long_words=False, break_on_hyphens=False)
    return [line.replace("\0", " ") for line in lines]


def origin(marks: Iterable[Mark]) -> str:
    """The lines of the plan, such as `press.yaml:71, 72`."""
    known = sorted({(PurePath(mark.file).name, mark.line) for mark in marks if mark.line})
    if not known:
        return "plan"
    file = known[0][0]
    return comment(f"{file}:{', '.join(str(line) for name, line in known if name == file)}")


def comment(said: str) -> str:
    """A text that cannot end the comment in which it stands."""
    return ascii_text(said).replace("*", ".").strip()
