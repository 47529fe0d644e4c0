"""A unit of code while it is written: its declarations and its statements, from rows of a network.

Rule of this file: statements stand in the order of the rows. A signal's last value is the variable itself
until its own statement, and a copy from the top of the unit below that. Every statement ends with the line of
the plan that it came from. Blocks are called once in every scan without any condition.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from pathlib import PurePath

from attrs import define, field

from steadfall.logic.forms import numbered
from steadfall.logic.network import ZERO
from steadfall.logic.nodes import Constant, Mux, Type
from steadfall.source import Mark
from steadfall.st.write.blocks import BLOCKS
from steadfall.st.write.literal import literal
from steadfall.st.write.names import Names, ascii_text
from steadfall.st.write.split import Row
from steadfall.st.write.statement import statement

WIDTH = 110
INDENT = "    "
LAST = "values of the last scan, for what is changed further down"
AGAIN = "times since an event: where it has been in this scan, the time begins again"
KEPT_INPUT = "VAR_INPUT RETAIN"  # of what is set on the panel: kept while power is off
RETAINED = "VAR RETAIN"  # of counters: kept while power is off
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
    far: bool = (
        True  # times since an event count on past what is asked of them, so that presets can be changed
    )
    constants: dict[str, Declaration] = field(factory=dict)
    choices: dict[tuple[Mux, tuple[str, ...]], int] = field(factory=dict)
    part_of: Callable[[Row], str] = lambda _row: ""  # the part of the unit that a signal belongs to
    stage: str = ""  # the signal of the sequence whose states these are
    part: str = ""

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
        word, section = self.now(row.name), RETAINED if row.retained else section
        initial = literal(row.initial, row.type) if row.initial != ZERO[row.type] else ""
        self.declare(section, Declaration(word, row.type.value, initial, note))
        return word

    def instance(self, name: str, kind: str) -> str:
        """An instance of a standard function block for a signal; gives its identifier."""
        word = self.names.of(("block", name), f"{PREFIX.get(kind, 'timer')}.{name}")
        self.declare("VAR", Declaration(word, kind))
        return word

    def say(self, said: str, marks: Iterable[Mark], place: list[str] | None = None) -> None:
        """One statement, folded where it is long, with its origin."""
        (self.body if place is None else place).extend(_folded(f"{said} (* {origin(marks)} *)"))

    def lines(self, lines: Sequence[str], marks: Iterable[Mark]) -> None:
        """One statement of several lines, with its origin behind the first."""
        self.say(lines[0], marks)
        for line in lines[1:]:
            self.body.extend(_folded(line))

    def choice(self, wish: str, node: Mux, kind: Type) -> tuple[str, bool]:
        """The signal that holds a look-up within an expression, and whether it is new."""
        labels = tuple(entry.label for entry in node.entries if isinstance(entry, Constant))
        own = f"choice {self.choices.setdefault((node, labels), len(self.choices))}"
        new = own not in self.spelled
        if new:
            self.spelled[own] = self.names.of(own, wish)
            self.declare("VAR", Declaration(self.spelled[own], kind.value))
        return own, new

    def label(self, state: int) -> str:
        """The name of a state."""
        return self.constant(numbered(state))

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
            (self.end if written < 0 else self.top).append(
                f"{copy} := {self.now(name)}; (* value of the last scan *)"
            )
        return copy

    def elapsed(self, name: str) -> str:
        """The elapsed time of a timer."""
        return f"{self.names.known['block', name]}.ET"

    def constant(self, node: Constant) -> str:
        """A constant: its name where it has one, else its value."""
        label, place = node.label, int(node.value)
        if node.is_state:
            label = f"state.{self.states[place]}" if place < len(self.states) else ""
        if not label:
            return literal(node.value, node.type)
        word = self.names.of(("constant", label, node.value, node.type), label.upper())
        if word not in self.constants:
            told = node.mark.line and node.type is not Type.INT  # the number of a state is no preset
            note = f"{label}, {origin([node.mark])}" if told else NOTES.get(label, "")
            self.constants[word] = Declaration(word, node.type.value, literal(node.value, node.type), note)
        return word

    def begin(self, part: str) -> None:
        """Statements of a part of the unit follow."""
        if part != self.part:
            self.part = part
            self.body += ["", f"(* {part} *)"]

    def row(self, row: Row, place: int) -> None:
        """The statement or call of one row."""
        self.at = place
        self.begin(self.part_of(row))
        writer = BLOCKS.get(type(row.node))
        if writer is not None:
            writer(self, row)
        else:
            for lines in statement(row.name, row.node, self):
                self.lines(lines, row.marks)

    def listing(self, head: str, end: str) -> str:
        """The whole unit as text."""
        lines = [head]
        presets = [row for row in self.constants.values() if row.note and row.note not in NOTES.values()]
        others = sorted((row for row in self.constants.values() if row not in presets), key=_by_number)
        sections = {"VAR CONSTANT": [*presets, *others], **self.sections}
        for section in ("VAR_INPUT", KEPT_INPUT, "VAR_OUTPUT", "VAR CONSTANT", RETAINED, "VAR"):
            if sections.get(section):
                lines += [section, *(row.line() for row in sections[section]), "END_VAR"]
        top = ["", f"(* {LAST} *)", *self.top] if self.top else []
        below = ["", f"(* {AGAIN} *)", *self.end] if self.end else []
        return "\n".join([*lines, *top, *self.body, *below, end, ""])


def _by_number(row: Declaration) -> int:
    return int(row.initial) if row.type == Type.INT.value else -1


def _folded(line: str) -> list[str]:
    """A line on as few lines as it needs; its comment and `X := Y` stay together."""
    kept = line.strip().replace(" := ", "\0:=\0")
    if kept.endswith("*)"):
        said, opening, rest = kept.rpartition("(* ")
        kept = said + (opening + rest).replace(" ", "\0")
    pad = line[: len(line) - len(line.lstrip())]
    lines = textwrap.wrap(
        kept,
        WIDTH,
        initial_indent=pad,
        subsequent_indent=pad + INDENT,
        break_long_words=False,
        break_on_hyphens=False,
    )
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
