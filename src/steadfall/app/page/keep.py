"""What was pressed, as a scenario in the text of the plan: at its place, with nothing else changed.

Rule of this file: the reader has the last word. A text that would not read, or would say something else than
what was done, is not handed out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from attrs import evolve, field, frozen

from steadfall.plan.problems import Problems
from steadfall.plan.read.whole import read_text
from steadfall.plan.text.lay_out import time
from steadfall.plan.text.tree import Entry, Items, Node, Scalar, Table, read_tree
from steadfall.source import AskError, Mark, PlanError
from steadfall.words import _

Done = tuple[int, str, str]  # moment in ms, input, word
SECTION = "scenarios"
NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]*(?: [A-Za-z0-9_-]+)*\Z")
LONGEST = 60
LEAST_MS = 1000  # of a scenario
NOT_SO = _("what was pressed cannot be written into the text as it stands; its scenarios read:")


@frozen
class Play:
    """What was done, until when, and how the settings stood from the start on, in a plan's words."""

    done: Sequence[Done]
    until_ms: int
    panel: Mapping[str, str] = field(factory=dict)

    def settings(self) -> str:
        """The settings as a plan has them."""
        return f"{{{', '.join(f'{of}: {said}' for of, said in self.panel.items())}}}" if self.panel else ""


def with_scenario(text: str, file: str, name: str, play: Play) -> str:
    """The text with a new scenario, the first of its section. Raises AskError for a name that cannot be or is
    taken, where nothing was done, and where the text has problems.
    """
    if not play.done:
        raise AskError(_("nothing was pressed or set, so there is nothing to keep"))
    if not NAME.match(name) or len(name) > LONGEST:
        bad = _("'{name}' cannot name a scenario; write letters and digits, such as 'air lost'")
        raise AskError(bad.format(name=name[:LONGEST]))
    try:
        before = read_text(text, file)
        if name in before.scenarios:
            there = _("there is a scenario '{name}' already; choose another name")
            raise AskError(there.format(name=name))
        whole = evolve(play, until_ms=max(LEAST_MS, play.until_ms))
        made = _placed(text, read_tree(text, file, Problems()), name, whole)
        after = read_text(made, file)
    except PlanError as error:
        raise AskError(f"{NOT_SO} {error}") from error
    if list(after.scenarios) != [name, *before.scenarios]:
        raise AskError(f"{NOT_SO} {', '.join(after.scenarios)}")
    return made


def _placed(text: str, tree: Node, name: str, play: Play) -> str:
    """The text with the scenario in its section, which is begun at the end where there is none."""
    entries = tree.entries if isinstance(tree, Table) else ()
    section = next((entry for entry in entries if entry.key.text == SECTION), None)
    lines = text.split("\n")
    if section is None:
        begun = text if text.endswith("\n") else f"{text}\n"
        return begun + "\n".join([f"\n{SECTION}:", *_block(name, play, 2), ""])
    if isinstance(section.value, Table) and _inline(text, section.value.mark):
        return _in_braces(lines, section.value, name, play)
    indent = _indent(section)
    at = section.key.mark.line  # the line after the key
    return "\n".join([*lines[:at], *_block(name, play, indent), *lines[at:]])


def _inline(text: str, mark: Mark) -> bool:
    """Whether a table stands in braces."""
    return text.split("\n")[mark.line - 1][mark.column - 1 : mark.column] == "{"


def _indent(section: Entry) -> int:
    """How far in the scenarios of a section stand."""
    value = section.value
    first = value.entries[0].key.mark.column - 1 if isinstance(value, Table) and value.entries else 2
    if isinstance(value, Items) or (isinstance(value, Scalar) and value.text.strip()):
        raise AskError(_("the scenarios of the plan are no table"))
    return first


def _in_braces(lines: list[str], table: Table, name: str, play: Play) -> str:
    """Right behind the brace."""
    row, column = table.mark.line - 1, table.mark.column
    panel = f", set: {play.settings()}" if play.panel else ""
    steps = ", ".join(_steps(play.done))
    said = f"{name}: {{steps: [{steps}], until: {time(play.until_ms)}{panel}}}"
    more = ", " if table.entries else ""
    line = lines[row]
    return "\n".join([*lines[:row], line[:column] + said + more + line[column:], *lines[row + 1 :]])


def _block(name: str, play: Play, indent: int) -> list[str]:
    """A line each for the steps."""
    steps = [f"    - {step}" for step in _steps(play.done)]
    panel = [f"  set: {play.settings()}"] if play.panel else []
    own = [f"{name}:", "  steps:", *steps, f"  until: {time(play.until_ms)}", *panel]
    return [f"{' ' * indent}{line}" for line in own]


def _steps(done: Iterable[Done]) -> list[str]:
    """What is done at one moment is one step."""
    rows: dict[int, list[str]] = {}
    for ms, of, said in done:
        rows.setdefault(ms, []).append(f"{of}: {said}")
    return [f"{{at: {time(ms)}, {', '.join(said)}}}" for ms, said in sorted(rows.items())]
