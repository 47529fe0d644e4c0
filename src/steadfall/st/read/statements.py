"""Statements of structured text: a table keyed by phrase; each changes what variables hold.

Rule of this file: both sides of a branch are read and joined; a loop with constant bounds is read as often as
it runs; a problem in one statement does not hide those of the next.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from attrs import evolve, frozen

from steadfall.logic.forms import all_of, any_of
from steadfall.logic.nodes import Constant, Node, Type
from steadfall.plan.problems import did_you_mean
from steadfall.source import Mark, Problem
from steadfall.st.read.arguments import bind
from steadfall.st.read.blocks import STANDARD
from steadfall.st.read.expression import compare, fit, kind_of, node, wanted
from steadfall.st.read.frame import Frame, inputs_of
from steadfall.st.read.space import CASE, IF, Space, UnreadableError
from steadfall.st.read.text import OUTSIDE, Part, Phrase, Tree, place

MOST_STATEMENTS = 40_000  # in a scan: loops unrolled, and each number of a CASE compared


def runner(problems: set[Problem]) -> Callable[[Tree, Frame], None]:
    """Runs statements and notes what it cannot read."""

    def run(body: Tree, frame: Frame) -> None:
        for statement in body.children:
            _spend(frame, place(statement, frame.name))
            try:
                STATEMENTS[statement.data](statement, frame)
            except TooLongError:
                raise
            except UnreadableError as error:
                problems.add(problem(error))

    return run


class TooLongError(UnreadableError):
    """The text is longer than a controller would run in a scan."""


def _spend(frame: Frame, mark: Mark) -> None:
    frame.world.spent += 1
    if frame.world.spent > MOST_STATEMENTS:
        raise TooLongError(
            mark, "too-long", f"more than {MOST_STATEMENTS} statements in a scan, loops unrolled"
        )


def problem(error: UnreadableError) -> Problem:
    """What a person is to mend."""
    return Problem(error.mark, error.slug, "", error.read, error.expected, error.example)


def _assignment(part: Tree, frame: Frame) -> None:
    target, value = part.children
    mark = place(part, frame.name)
    path = target_path(target, frame)
    frame.space.put(path, wanted(value, frame, frame.space.slots[path].type), mark)


def target_path(target: Part, frame: Frame) -> str:
    """The path of a variable that may be assigned."""
    mark, path = place(target, frame.name), frame.path(target)
    if path in frame.world.inputs:
        raise UnreadableError(
            mark, "assigned", f"'{frame.space.slots[path].name}' is an input and is assigned"
        )
    if path in frame.world.constants:
        raise UnreadableError(
            mark, "assigned", f"'{frame.space.slots[path].name}' is a constant and is assigned"
        )
    _own(path, frame.space.slots[path].name, frame, mark)
    return path


def _own(path: str, shown: str, frame: Frame, mark: Mark) -> None:
    """Refuses what a function changes outside: makers differ in whether a value not needed is worked out."""
    if frame.unit.kind == "function" and not path.startswith(frame.prefix):
        read = f"a function changes '{shown}', which is not its own"
        raise UnreadableError(mark, "assigned", read, "its result, or a function block")


def _call(part: Tree, frame: Frame) -> None:
    head, *arguments = part.children
    mark, shown = place(part, frame.name), ".".join(str(word) for word in head.children)
    path = frame.spelled(str(head.children[0])) + "".join(
        f".{str(word).lower()}" for word in head.children[1:]
    )
    kind = frame.world.instances.get(path)
    if kind is None:
        hint = did_you_mean(shown, list(frame.world.instances))
        raise UnreadableError(
            mark, "unknown-name", f"'{shown}' is no function block that is declared here{hint}"
        )
    _own(path, shown, frame, mark)
    standard, unit = STANDARD.get(kind), frame.world.text.units.get(kind.lower())
    inputs = standard.inputs if standard is not None else inputs_of(unit) if unit is not None else {}
    for name, (value, where) in bind(arguments, inputs, frame, mark, shown).items():
        frame.space.put(f"{path}.{name}", value, where)
    if standard is not None:
        standard.call(BlockCall(path, mark, frame.space, frame.conditional))
    elif unit is not None:
        _run_block(unit, path, frame)
    _results(arguments, path, frame)


def _run_block(unit: Any, path: str, frame: Frame) -> None:
    inner = Frame(frame.world, unit, frame.run, f"{path}.", frame.conditional)
    for row in unit.of("VAR_TEMP"):
        slot = frame.space.slots[f"{path}.{row.name.lower()}"]
        frame.space.write(f"{path}.{row.name.lower()}", Constant(slot.initial, slot.type))
    if unit.body is not None:
        frame.run(unit.body, inner)


def _results(arguments: list[Tree], path: str, frame: Frame) -> None:
    for argument in arguments:
        if argument.data == "result_argument":
            name, _, target = argument.children
            mark, source = place(argument, frame.name), f"{path}.{str(name).lower()}"
            if source not in frame.space.slots:
                raise UnreadableError(mark, "arguments", f"there is no output '{name}'")
            to = target_path(target, frame)
            frame.space.put(to, fit(frame.space.get(source), frame.space.slots[to].type, mark), mark)


@frozen
class BlockCall:
    """A call of a standard block."""

    path: str
    mark: Mark
    space: Space
    conditional: bool

    def get(self, name: str) -> Node:
        """What a variable of the instance holds."""
        return self.space.get(f"{self.path}.{name}")

    def put(self, name: str, value: Node) -> None:
        """The variable of the instance holds this from here on."""
        self.space.put(f"{self.path}.{name}", value, self.mark)


def _if(part: Tree, frame: Frame) -> None:
    parts = part.children[1:]
    *pairs, last = parts if parts[-1].data == "else_" else [*parts, None]
    branches = [
        (wanted(condition, frame, Type.BOOL), body)
        for condition, body in zip(pairs[::2], pairs[1::2], strict=True)
    ]
    _branches(branches, last, frame, place(part, frame.name))


def _branches(branches: list[tuple[Node, Tree]], last: Tree | None, frame: Frame, mark: Mark) -> None:
    """Reads every branch that can be taken, and joins what they write."""
    outcomes = []
    inner = evolve(frame, conditional=True)
    for condition, body in branches:
        if isinstance(condition, Constant):
            if not condition.value:
                continue
            last = body
            break
        word = frame.space.word(IF, Type.BOOL, condition, mark)
        outcomes.append((word, frame.space.branch(lambda body=body: frame.run(body, inner))))  # type: ignore[misc]
    if not outcomes:
        if last is not None:
            frame.run(last, frame)
        return
    other = frame.space.branch(lambda: frame.run(last, inner)) if last is not None else {}
    frame.space.join(outcomes, other, mark)


def _case(part: Tree, frame: Frame) -> None:
    _, selector, *parts = part.children
    mark = place(part, frame.name)
    index = node(selector, frame)
    if kind_of(index) is not Type.INT:
        raise UnreadableError(mark, "type", "CASE needs a whole number")
    index = frame.space.word(CASE, Type.INT, index, mark)
    last = parts.pop() if parts and parts[-1].data == "else_" else None
    groups: list[tuple[Node, Tree]] = []
    taken: list[tuple[int, int]] = []
    for child in parts:
        if child.data == "labels":
            conditions = [_label(row, index, taken, frame) for row in child.children]
            groups.append((any_of(conditions), Phrase("body", [])))
        elif not groups:
            raise UnreadableError(
                place(child, frame.name), "syntax", "a statement before the first number of CASE"
            )
        else:
            groups[-1][1].children.append(child)
    _branches(groups, last, frame, mark)


def _label(part: Tree, index: Node, taken: list[tuple[int, int]], frame: Frame) -> Node:
    """Whether a number, or one of a range, is chosen; none stands twice: makers take that differently."""
    mark = place(part, frame.name)
    _spend(frame, mark)
    ends = [_number(child, frame) for child in part.children]
    low, high = int(ends[0].value), int(ends[-1].value)
    if low > high:
        raise UnreadableError(mark, "value", "a range that holds no number", "the lesser number first")
    at = bisect_left(taken, (low, high))
    if (at and taken[at - 1][1] >= low) or (at < len(taken) and taken[at][0] <= high):
        raise UnreadableError(mark, "value", "a number that stands in this CASE twice", "each number once")
    taken.insert(at, (low, high))
    if len(ends) == 1:
        return compare("=", index, ends[0], mark)
    return all_of((compare(">=", index, ends[0], mark), compare("<=", index, ends[1], mark)))


def _number(part: Tree, frame: Frame) -> Constant:
    found = frame.variable(part) if part.data == "named" else node(part, frame)
    if not isinstance(found, Constant) or found.type is not Type.INT:
        raise UnreadableError(place(part, frame.name), "type", "a number that is not constant")
    return found


def _for(part: Tree, frame: Frame) -> None:
    _, counter, *bounds, body = part.children
    mark, space = place(part, frame.name), frame.space
    path = target_path(Phrase("variable", [counter]), frame)
    slot = space.slots[path]
    if slot.type is not Type.INT:
        raise UnreadableError(mark, "type", "a loop counts whole numbers")
    found, kept = _bounds(bounds, path, frame, mark)
    start, end = int(found[0].value), int(found[1].value)
    step = int(found[2].value) if len(found) > 2 else 1
    if step == 0:
        raise UnreadableError(mark, "value", "a loop in steps of 0")
    space.put(path, Constant(start, Type.INT), mark)
    for value in _counted(start, end, step):
        _spend(frame, mark)
        space.fixed.update(kept)
        try:
            frame.run(body, frame)
        finally:
            for one in kept:
                del space.fixed[one]
        space.put(path, Constant(value + step, Type.INT), mark)


def _bounds(
    parts: list[Part], counter: str, frame: Frame, mark: Mark
) -> tuple[list[Constant], dict[str, str]]:
    """The bounds of a loop, and what nothing in it may change (IEC 61131-3, FOR): its counter, and what its
    bounds hang on.
    """
    space, before = frame.space, frame.space.looked_at
    space.looked_at = set()
    found = [_number(part, frame) for part in parts]
    if counter in space.looked_at:
        raise UnreadableError(mark, "assigned", "the counter of a loop bounds it", "another variable")
    own = {f"{name.lower()}()" for name in frame.world.active}
    paths = (path for path in space.looked_at if "()" not in path or path.partition(".")[0] in own)
    kept = {path: f"'{space.slots[path].name}' bounds a loop and is assigned within it" for path in paths}
    kept[counter] = "the counter of a loop is assigned within it"
    space.looked_at |= before
    return found, {path: why for path, why in kept.items() if path not in space.fixed}


def _counted(start: int, end: int, step: int) -> Iterator[int]:
    return iter(range(start, end + (1 if step > 0 else -1), step))


def _outside(part: Tree, frame: Frame) -> None:
    word = str(part.children[0]).lower()
    raise UnreadableError(
        place(part, frame.name), "syntax", f"{OUTSIDE[word]} is outside what Steadfall reads"
    )


STATEMENTS: Mapping[str, Callable[[Tree, Frame], None]] = {
    "nothing": lambda _part, _frame: None,
    "assignment": _assignment,
    "call": _call,
    "if_": _if,
    "case": _case,
    "for_": _for,
    "outside": _outside,
}
