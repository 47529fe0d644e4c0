"""One unit at work: what its names stand for, and its calls of functions."""

from __future__ import annotations

from collections.abc import Callable

from attrs import define

from steadfall.logic.nodes import Constant, Node, Type
from steadfall.plan.problems import did_you_mean
from steadfall.source import Mark
from steadfall.st.read.address import canonical
from steadfall.st.read.arguments import bind
from steadfall.st.read.declare import Unit
from steadfall.st.read.expression import Found, Quotient, Rounded, found
from steadfall.st.read.functions import FUNCTIONS, NAMED, function
from steadfall.st.read.literal import HOLDS, TYPES
from steadfall.st.read.space import SUM, Space, UnreadableError
from steadfall.st.read.text import Part, Tree, place
from steadfall.st.read.world import World


@define
class Frame:
    """A unit under a path: "" for the program, `upper.` for the instance `upper`; `run` runs statements in
    it.
    """

    world: World
    unit: Unit
    run: Callable[[Tree, Frame], None]
    prefix: str = ""
    conditional: bool = False

    @property
    def name(self) -> str:
        """The text's name."""
        return self.world.text.name

    @property
    def space(self) -> Space:
        """What variables hold."""
        return self.world.space

    def path(self, part: Part) -> str:
        """The path of a variable; raises UnreadableError where there is none."""
        words = [str(word) for word in part.children]
        mark = place(part, self.name)
        if words[0].startswith("%"):
            return self.world.direct(canonical(words[0]), mark)
        path = self.spelled(words[0]) + "".join(f".{word.lower()}" for word in words[1:])
        if path in self.world.instances:
            read = f"'{'.'.join(words)}' is a function block and has no value of its own"
            raise UnreadableError(mark, "type", read, f"one of its outputs, such as {words[0]}.Q")
        if path not in self.space.slots:
            said, known = ".".join(words), [row.name for row in self.unit.variables.values()]
            raise UnreadableError(
                mark, "unknown-name", f"'{said}' is not declared here{did_you_mean(said, known)}"
            )
        if len(words) > 1:
            self._seen(words, path, mark)
        return path

    def spelled(self, word: str) -> str:
        """The path of a name: the unit's own, else a global one; none of another unit."""
        key = word.lower()
        own = self.unit.variables.get(key)
        shared = own is None or own.section == "VAR_EXTERNAL"
        return key if shared and key in self.world.text.globals else f"{self.prefix}{key}"

    def _seen(self, words: list[str], path: str, mark: Mark) -> None:
        """Only inputs and outputs of a block are seen from outside."""
        owner, _, last = path.rpartition(".")
        unit = self.world.text.units.get(self.world.instances.get(owner, "").lower())
        if unit is not None and unit.variables[last].section not in ("VAR_INPUT", "VAR_OUTPUT"):
            raise UnreadableError(
                mark, "unknown-name", f"'{'.'.join(words)}' is an inner variable of {unit.name}"
            )

    def variable(self, part: Part) -> Node:
        """What a variable holds."""
        path = self.path(part)
        constant = self.world.constants.get(path)
        return self.space.get(path) if constant is None else constant

    def step(self, kind: Type, node: Node, mark: Mark) -> Node:
        """A word for what has been worked out so far."""
        return self.space.word(SUM, kind, node, mark)

    def call(self, part: Part) -> Found:
        """What a function gives: a standard one or one of the text's own."""
        head, *arguments = part.children
        mark, name = place(part, self.name), ".".join(str(word) for word in head.children)
        unit = self.world.text.units.get(name.lower())
        if unit is not None and unit.kind == "function":
            return self._own(unit, arguments, mark)
        if any(argument.data != "placed_argument" for argument in arguments):
            arguments = self._placed(name, arguments, mark)
        made = function(name, [found(argument.children[-1], self) for argument in arguments], mark, self.step)
        return self._converted(name.upper(), made, mark)

    def _converted(self, name: str, made: Found, mark: Mark) -> Found:
        """A whole number brought to another length: where it may not fit is named, a constant is refused."""
        one, _, other = name.partition("_TO_")
        if other not in HOLDS or isinstance(made, Quotient | Rounded):
            return made
        low, high = HOLDS[other]
        if isinstance(made, Constant):
            if low <= made.value <= high:
                return made
            raise UnreadableError(
                mark, "value", f"{made.value} is no {other}", f"a whole number from {low} to {high}"
            )
        if one not in HOLDS:
            return made
        given = self.space.narrowed(name, made, HOLDS[one], mark)
        return self.space.narrowed(name, given, (low, high), mark)

    def _placed(self, name: str, arguments: list[Tree], mark: Mark) -> list[Tree]:
        """Named arguments of a standard function in their order."""
        order = NAMED.get(name.upper(), ())
        given = {str(one.children[0]).upper(): one for one in arguments if one.data == "named_argument"}
        if name.upper() not in FUNCTIONS or len(given) != len(arguments) or sorted(given) != sorted(order):
            raise UnreadableError(mark, "arguments", f"these arguments of '{name}'", "each by its place")
        return [given[word] for word in order]

    def _own(self, unit: Unit, arguments: list[Tree], mark: Mark) -> Node:
        """A function of the text: its variables are new at every call."""
        if unit.name in self.world.active:
            raise UnreadableError(mark, "function", f"'{unit.name}' calls itself")
        prefix = f"{unit.name.lower()}()."
        values = bind(arguments, inputs_of(unit), self, mark, unit.name)
        self.world.open(unit, prefix, prefix)
        for key, row in unit.variables.items():
            if row.section == "VAR_EXTERNAL":
                continue
            slot = self.space.slots.get(f"{prefix}{key}")
            if slot is None:
                raise UnreadableError(row.mark, "type", "a block within a function")
            self.space.write(f"{prefix}{key}", Constant(slot.initial, slot.type))
        for key, (node, where) in values.items():
            self.space.put(f"{prefix}{key}", node, where)
        self.world.active.add(unit.name)
        try:
            if unit.body is not None:
                self.run(unit.body, Frame(self.world, unit, self.run, prefix, self.conditional))
        finally:
            self.world.active.discard(unit.name)
        return self.space.get(f"{prefix}{unit.name.lower()}")


def inputs_of(unit: Unit) -> dict[str, Type]:
    """The inputs of a unit of the text, in order."""
    return {row.name.lower(): TYPES[row.type] for row in unit.of("VAR_INPUT") if row.type in TYPES}
