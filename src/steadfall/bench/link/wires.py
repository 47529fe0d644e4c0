"""Which signal is which node or register: one row a signal, with its type on the wire.

Rule of this file: from the controller's side. An input is what the controller reads, so the bench writes it;
an output is what the controller writes, so the bench reads it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from enum import StrEnum

from attrs import evolve, frozen

from steadfall.logic.build.recorder import BEAT, ECHO, LOST, slots
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Type
from steadfall.plan.meaning.handed import whole_type
from steadfall.plan.meaning.names import energised
from steadfall.plan.model import Plan
from steadfall.roles import Role
from steadfall.source import NOWHERE, Mark


class Table(StrEnum):
    """The four tables of Modbus (Modbus Application Protocol V1.1b3, 4.3)."""

    COIL = "coil"
    DISCRETE = "discrete input"
    INPUT = "input register"
    HOLDING = "holding register"

    @property
    def of_bits(self) -> bool:
        """Whether it holds single bits."""
        return self in (Table.COIL, Table.DISCRETE)

    @property
    def writable(self) -> bool:
        """Whether a client may write to it."""
        return self in (Table.COIL, Table.HOLDING)


class Form(StrEnum):
    """How a value stands in registers."""

    BIT = "bit"
    INT16 = "int16"
    UINT16 = "uint16"
    INT32 = "int32"
    UINT32 = "uint32"
    FLOAT32 = "float32"
    FLOAT64 = "float64"

    @property
    def words(self) -> int:
        """How many registers it takes."""
        return WORDS[self]


WORDS: Mapping[Form, int] = {
    Form.BIT: 1, Form.INT16: 1, Form.UINT16: 1, Form.INT32: 2, Form.UINT32: 2, Form.FLOAT32: 2,
    Form.FLOAT64: 4,
}  # fmt: skip
USUAL: Mapping[Type, Form] = {
    Type.BOOL: Form.BIT, Type.INT: Form.INT16, Type.TIME: Form.UINT32, Type.REAL: Form.FLOAT32,
}  # fmt: skip
COUNTS: Mapping[str, Form] = {"INT": Form.INT16, "UINT": Form.UINT16, "DINT": Form.INT32}
_REGISTER = re.compile(r"(coil|discrete input|input register|holding register) ([0-9]{1,5})\Z")
LAST_REGISTER = 65_535
MOVES = {Role.COMMAND, Role.MAIN, Role.PUMP}


@frozen
class Register:
    """A place in one of the four tables; the number is that of the protocol, which begins at 0."""

    table: Table
    number: int

    def __str__(self) -> str:
        return f"{self.table.value} {self.number}"


def register(text: str) -> Register | None:
    """`coil 3`; None where it is none."""
    found = _REGISTER.match(text)
    if found is None or int(found[2]) > LAST_REGISTER:
        return None
    return Register(Table(found[1]), int(found[2]))


@frozen
class Wire:
    """A signal and where it is found in the controller."""

    signal: str
    type: Type
    is_input: bool  # of the controller
    needed: bool = True  # without it there is no bench
    node: str = ""  # OPC UA
    register: Register | None = None  # Modbus
    form: Form = Form.BIT
    whole: str = ""  # the type of a measured value that is handed over in counts
    scale: float = 1.0  # what stands in the register is the value times this
    mark: Mark = NOWHERE
    recorded: bool = False  # by a recorder: all of it is of the same scans
    counts: bool = False  # the number of the latest scan in it


def signals(plan: Plan, network: Network) -> list[Wire]:
    """Every signal that may have a wire, without its place: inputs, what is set on the panel, outputs,
    stages, counters.
    """
    rows = network.rows
    known = plan.inputs
    found = [_given(row, whole_type(known[row.name])) for row in network.inputs if row.name in known]
    panel = [row for row in network.inputs if row.name in plan.settings]
    found += [_wire(row, is_input=True, needed=False) for row in panel]
    beats = [row for row in network.inputs if row.name == BEAT.name]
    found += [_wire(row, is_input=True, needed=False) for row in beats]
    turned = {made.name: valve for valve, (made, _) in energised(plan).items()}
    for name in network.outputs:
        needed = name in turned or (rows[name].role in MOVES and name not in turned.values())
        found.append(_wire(rows[name], is_input=False, needed=needed))
    stages = [row for row in network.assignments if row.role is Role.STAGE]
    made = slots(plan, network)
    counted = [rows[name] for name in plan.counters if name in rows]
    found += (_wire(row, is_input=False, needed=False) for row in [*stages, *counted])
    extras = (
        _wire(rows[name], is_input=False, needed=False) for name in (ECHO.name, LOST.name) if name in rows
    )
    kept = (_wire(rows[name], is_input=False, needed=False) for name in made.names if name in rows)
    recorded = (evolve(wire, recorded=True, counts=wire.signal == made.numbers[0]) for wire in kept)
    return [*found, *recorded, *extras]


def _wire(row: Input | Assignment, *, is_input: bool, needed: bool = True) -> Wire:
    return Wire(row.name, row.type, is_input, needed, form=USUAL[row.type])


def _given(row: Input, whole: str | None) -> Wire:
    """An input of the controller; counts are whole numbers there."""
    wire = _wire(row, is_input=True)
    return wire if whole is None else evolve(wire, form=COUNTS[whole], whole=whole)


def placed(wires: Sequence[Wire], plan: Plan) -> list[Wire]:
    """The same with the places that the plan's wiring (`io`) gives."""
    found = []
    for wire in wires:
        row = plan.io.terminals.get(wire.signal)
        if row is None:
            found.append(wire)
        else:
            found.append(evolve(wire, node=row.opcua, register=register(row.modbus), mark=row.at.own))
    return found


def numbered(wires: Sequence[Wire]) -> list[Wire]:
    """The same with a place for those that have none: nodes by name, registers one after the other.

    An input that a plan has on a terminal cannot be written there: it gets another place.
    """
    wires = [wire if _usable(wire) else evolve(wire, register=None) for wire in wires]
    taken = {table: {one for wire in wires for one in _numbers(wire, table)} for table in Table}
    found = []
    for wire in wires:
        node = wire.node or f"ns=2;s={wire.signal}"
        place = wire.register or _free(wire, taken)
        found.append(evolve(wire, node=node, register=place))
    return found


def _usable(wire: Wire) -> bool:
    return wire.register is None or not wire.is_input or wire.register.table.writable


def _numbers(wire: Wire, table: Table) -> list[int]:
    if wire.register is None or wire.register.table is not table:
        return []
    return list(range(wire.register.number, wire.register.number + wire.form.words))


def _free(wire: Wire, taken: Mapping[Table, set[int]]) -> Register:
    if wire.form is Form.BIT:
        table = Table.COIL if wire.is_input else Table.DISCRETE
    else:
        table = Table.HOLDING if wire.is_input else Table.INPUT
    begin = max(taken[table], default=-1) + 1
    taken[table].update(range(begin, begin + wire.form.words))
    return Register(table, begin)
