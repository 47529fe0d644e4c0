"""Everything that a text's variables and instances stand for, each under its path (`upper.stage`, small
letters).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from attrs import define, field

from steadfall.logic.network import ZERO
from steadfall.logic.nodes import Constant, Ends, Node, Read, Type, Value
from steadfall.plan.problems import did_you_mean
from steadfall.source import Mark
from steadfall.st.read.address import Addresses
from steadfall.st.read.blocks import STANDARD, begin
from steadfall.st.read.declare import Text, Unit, Variable, presets
from steadfall.st.read.literal import HOLDS, TYPES
from steadfall.st.read.space import Slot, Space, UnreadableError
from steadfall.st.read.text import Part

DEEPEST = 12  # blocks within blocks
MOST_VARIABLES = 20_000
# What stands at an address that nothing declares; a byte or a word may be meant with a sign or without one.
WORDS_BY_LETTER: Mapping[str, tuple[Type, Ends | None]] = {
    "X": (Type.BOOL, None),
    "B": (Type.INT, (HOLDS["SINT"][0], HOLDS["USINT"][1])),
    "W": (Type.INT, (HOLDS["INT"][0], HOLDS["UINT"][1])),
}

Constants = Callable[[Part, Unit, str, Type], Value]  # works a first value out


@define
class World:
    """A text and what it is made into."""

    text: Text
    space: Space
    first_value: Constants
    inputs: dict[str, Slot] = field(factory=dict)  # what comes from outside
    outputs: dict[str, Slot] = field(factory=dict)
    constants: dict[str, Node] = field(factory=dict)
    addresses: Addresses = field(factory=Addresses)
    given: set[str] = field(factory=set)  # inputs of the text's own blocks
    instances: dict[str, str] = field(factory=dict)  # path -> type of the block, in capitals
    spent: int = 0  # statements
    active: set[str] = field(factory=set)  # functions that are being called

    def open(self, unit: Unit, prefix: str = "", shown: str = "", depth: int = 0) -> None:
        """Makes a unit's variables."""
        if depth > DEEPEST:
            raise UnreadableError(unit.mark, "too-deep", "blocks within blocks without an end")
        for variable in unit.variables.values():
            if len(self.space.slots) > MOST_VARIABLES:
                raise UnreadableError(variable.mark, "too-long", f"more than {MOST_VARIABLES} variables")
            if variable.section == "VAR_IN_OUT":
                raise UnreadableError(variable.mark, "section", "VAR_IN_OUT is not read", "inputs, outputs")
            if variable.section == "VAR_EXTERNAL":
                continue
            self._variable(variable, unit, prefix, shown, depth)

    def _variable(self, variable: Variable, unit: Unit, prefix: str, shown: str, depth: int) -> None:
        path, spelled = f"{prefix}{variable.name.lower()}", f"{shown}{variable.name}"
        kind = TYPES.get(variable.type)
        if kind is None:
            self._instance(variable, unit, path, spelled, depth)
            return
        first = ZERO[kind] if variable.first is None else self.first_value(variable.first, unit, prefix, kind)
        begun = Constant(first, kind, mark=variable.mark)
        if variable.constant:
            self.constants[path] = begun
        holds, retained = HOLDS.get(variable.type), variable.retained
        slot = self.space.slots[path] = Slot(spelled, kind, first, variable.mark, holds, retained)
        slot.check(begun, variable.mark)
        if prefix and variable.section == "VAR_INPUT":
            self.given.add(path)
        if not prefix:
            self._wire(variable, path)
        elif variable.address:
            raise UnreadableError(
                variable.mark, "address", "an address within a block is outside what Steadfall reads"
            )

    def _wire(self, variable: Variable, path: str) -> None:
        slot, letter = self.space.slots[path], variable.address[1:2]
        if variable.address:
            self.addresses.add(variable.address, path, variable.mark)
        if variable.section == "VAR_INPUT" or letter == "I":
            self.inputs[path] = slot
            self.space.held[path] = Read(path, slot.type)
        elif variable.section == "VAR_OUTPUT" or letter == "Q":
            self.outputs[path] = slot

    def _instance(self, variable: Variable, unit: Unit, path: str, spelled: str, depth: int) -> None:
        standard, own = STANDARD.get(variable.type), self.text.units.get(variable.type.lower())
        if variable.section in ("VAR_INPUT", "VAR_TEMP"):
            read = f"a block in {variable.section} is not read"
            raise UnreadableError(variable.mark, "section", read, "VAR, where it keeps what it holds")
        if variable.address:
            raise UnreadableError(variable.mark, "address", "a block has no address", "none")
        self.instances[path] = variable.type
        given = presets(variable.first, self.text.name)
        if standard is not None:
            for name, kind in {**standard.inputs, **standard.outputs, **standard.kept}.items():
                part = given.pop(name, None)
                first = ZERO[kind] if part is None else self.first_value(part[0], unit, "", kind)
                self.space.slots[f"{path}.{name}"] = Slot(
                    f"{spelled}.{name.upper()}", kind, first, variable.mark
                )
            if variable.type == "TON":
                begin(self.space, path)
        elif own is not None and own.kind == "function_block":
            self.open(own, f"{path}.", f"{spelled}.", depth + 1)
        else:
            known = [*TYPES, *STANDARD, *(one.name for one in self.text.units.values())]
            hint = did_you_mean(variable.type, known)
            raise UnreadableError(
                variable.mark, "type", f"'{variable.type}' is no type that Steadfall reads{hint}"
            )
        if given:
            name, (_, mark) = next(iter(given.items()))
            raise UnreadableError(mark, "value", f"'{name}' cannot be given here", "a value at the call")

    def direct(self, address: str, mark: Mark) -> str:
        """The path of a direct address: the variable that stands for it, or a new one."""
        known = self.addresses.known.get(address)
        if known is not None:
            return known.path
        letter = address[1]
        kind, holds = WORDS_BY_LETTER.get(address[2], (None, None))
        if kind is None:
            raise UnreadableError(
                mark, "address", f"the type of '{address}' is not known", "a declaration with AT"
            )
        self.addresses.add(address, address, mark)
        slot = self.space.slots[address] = Slot(address, kind, ZERO[kind], mark, holds)
        if letter == "I":
            self.inputs[address] = slot
            self.space.held[address] = Read(address, kind)
        elif letter == "Q":
            self.outputs[address] = slot
        return address
