"""A plan's logic as structured text: a block for each circuit type, an instance for each circuit, a program.

Rule of this file: the same plan gives the same text, byte for byte; nothing in it depends on when or where it
was made.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from steadfall.logic.build.recorder import Extra, with_extras
from steadfall.logic.build.stages import state_names
from steadfall.logic.build.whole import build
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Constant, Node, Previous, Read, Type
from steadfall.logic.types import walk
from steadfall.plan.meaning.handed import whole_type
from steadfall.plan.meaning.names import energised
from steadfall.plan.model import Plan
from steadfall.roles import Role
from steadfall.st.write.expression import text
from steadfall.st.write.heading import heading
from steadfall.st.write.literal import literal
from steadfall.st.write.names import Names
from steadfall.st.write.split import Block, Row, UnlikeError, plain, share
from steadfall.st.write.unit import KEPT_INPUT, Declaration, Unit
from steadfall.units import shown

PROGRAM = "COOL_DOWN"
SEQUENCE, OTHERS, CIRCUITS, OUTPUTS = "sequence", "ramps and demands", "circuits", "outputs"
TEST = "valve test"
LAMPS = "lamps, horn, pumps, releases"
SIZES = {"BOOL": "X", "INT": "W", "UINT": "W", "DINT": "D", "REAL": "D"}  # of a direct address
PARTS: Mapping[Role, str] = {  # of the program, by what its signals are or serve
    **dict.fromkeys((Role.PRESSED, Role.ACKNOWLEDGE, Role.ACTIVE, Role.COMES, Role.UNACKNOWLEDGED), "alarms"),
    **dict.fromkeys((Role.ALARM, Role.FIRST_OUT), "alarms"),
    **dict.fromkeys((Role.OUTPUT, Role.RUNNING, Role.WANTED, Role.ON_DELAY, Role.OFF_DELAY), LAMPS),
    **dict.fromkeys((Role.FLASH, Role.FLASH_TIME, Role.FLASH_TURN), LAMPS),
    **dict.fromkeys((Role.COUNTER, Role.COUNTS, Role.COUNT_RESET, Role.DUE), "counters"),
    **dict.fromkeys((Role.GONE, Role.HOUR_OVER, Role.REST), "counters"),
    **dict.fromkeys((Role.VALUE, Role.UNFILTERED, Role.GOOD, Role.SCAN, Role.SCAN_TIME), "measured values"),
    Role.RAN: "settings",
    Role.MAY_SET: "settings",
    Role.IN_USE: "settings",
    Role.DISAGREES: "limit switches against commands",
    Role.PERMISSIVE: "permissives",
    Role.PERMITTED: "permissives",
    Role.TRIP: "trips",
    Role.TRIPPED: "trips",
    Role.MAY_COOL: "trips",
    **dict.fromkeys((Role.BUTTON, Role.STARTED, Role.LET_GO), "calls, and whether they are made anew"),
    Role.DONE: "the end of a cool-down",
    **dict.fromkeys(
        (Role.IN_HAND, Role.HAND_KEY, Role.HAND_READY, Role.HAND_OVER, Role.BY_HAND), "hand mode"
    ),
    **dict.fromkeys((Role.IN_TEST, Role.TEST_STEP, Role.TEST_TURN, Role.TEST_TIME, Role.TEST_MOVES), TEST),
    **dict.fromkeys((Role.TEST_OFF, Role.TEST_OVER, Role.TEST_ASKS, Role.BY_TEST, Role.FAILED_TEST), TEST),
    **dict.fromkeys((Role.ON_HOLD, Role.STEP_ON), "what a person holds or steps on"),
    Role.TARGET: "how far each circuit may go",
    Role.CLOCK: "dose clocks that run on by themselves",
    **dict.fromkeys((Role.MAIN, Role.PUMP, Role.NEEDED, Role.LAG, Role.READY), "main valves and pumps"),
    Role.ENERGISED: OUTPUTS,
    Role.RECORD: "recorder: the last scans as they were, for a bench; nothing above reads it",
    Role.BEAT: "heartbeat of a bench; nothing above reads it",
}
# Signals of a circuit that its block is given, or that are made of what it gives.
OF_PROGRAM = (
    *(Role.VALUE, Role.UNFILTERED, Role.GOOD, Role.DISAGREES, Role.PERMITTED),
    *(Role.TARGET, Role.ENERGISED, Role.BY_HAND, Role.BY_TEST, Role.TEST_ASKS, Role.FAILED_TEST),
)


@frozen
class Emitted:
    """The text, and for every name in it that stands for a signal of the plan, that signal."""

    text: str
    names: Mapping[str, str]  # in the program, such as `upper_mist` or `upper.stage` -> signal of the plan


@frozen
class Parts:
    """A network cut into the program's own rows and the blocks."""

    inputs: tuple[Row, ...]
    rows: tuple[Row, ...]
    after: tuple[Row, ...]  # those that see what the blocks have made
    blocks: tuple[Block, ...]
    outputs: tuple[str, ...]
    network: Network


def structured_text(plan: Plan, extras: frozenset[Extra] = frozenset()) -> Emitted:
    """The controller's program for a checked plan, and what it carries besides."""
    parts = cut(plan, with_extras(plan, build(plan, alike=True), extras))
    names = Names()
    program_name = names.of("program", PROGRAM)
    block_names = [names.of(("block", n), _type_name(plan, block)) for n, block in enumerate(parts.blocks)]
    blocks = [_block(plan, block, word, parts) for block, word in zip(parts.blocks, block_names, strict=True)]
    program, spelled = _Program(plan, parts, block_names, names.taken).written(program_name)
    return Emitted("\n".join([heading(plan), *blocks, program]), spelled)


def _type_name(plan: Plan, block: Block) -> str:
    first = next(iter(block.users))
    kind = plan.circuits[first].type
    everyone = {name for name, circuit in plan.circuits.items() if circuit.type == kind}
    return kind.upper() if set(block.users) == everyone else f"{kind}.{first}".upper()


def cut(plan: Plan, network: Network) -> Parts:
    """The program's rows, among them every circuit's target; the rest of each circuit's rows in its block."""
    last = max(place for place, row in enumerate(network.assignments) if _in_block(row))
    own = [(place, plain(row)) for place, row in enumerate(network.assignments) if not _in_block(row)]
    bodies = {
        circuit: [row for row in network.assignments if _in_block(row) and row.identity.circuit == circuit]
        for circuit in plan.circuits
    }
    inputs = tuple(
        Row(row.name, row.type, Read(row.name, row.type), row.initial, (row.mark,)) for row in network.inputs
    )
    blocks = [block for kind in plan.circuit_types for block in _shared(_of_type(plan, kind, bodies))]
    rows, after = (tuple(row for place, row in own if (place > last) == late) for late in (False, True))
    turned = energised(plan)  # which go out turned round, and in no other way
    outputs = tuple(name for name in network.outputs if name not in turned)
    return Parts(inputs, rows, after, tuple(blocks), outputs, network)


def _in_block(row: Assignment) -> bool:
    return bool(row.identity.circuit) and row.role not in OF_PROGRAM


def _of_type(plan: Plan, kind: str, bodies: Mapping[str, list[Assignment]]) -> dict[str, list[Assignment]]:
    return {circuit: body for circuit, body in bodies.items() if plan.circuits[circuit].type == kind}


def _shared(bodies: Mapping[str, Sequence[Assignment]]) -> list[Block]:
    """One block for all circuits of a type; where they cannot share one, a block for each."""
    if not bodies:
        return []
    try:
        return [share(bodies)]
    except UnlikeError:
        return [share({circuit: body}) for circuit, body in bodies.items()]


def _outside(parts: Parts, block: Block) -> list[str]:
    """The signals of a block that the program or another block asks for, and those that a person wants to
    see.
    """
    wanted = {node.name for node in _asked(parts) if isinstance(node, Read | Previous)} | set(parts.outputs)
    found = []
    for row in block.rows:
        full = [f"{circuit}.{row.name}" for circuit in block.users]
        if row.identity.role is Role.STAGE or any(name in wanted for name in full):
            found.append(row.name)
    return found


def _asked(parts: Parts) -> list[Node]:
    found = [node for row in (*parts.rows, *parts.after) for node in walk(row.node)]
    actuals = [node for block in parts.blocks for given in block.users.values() for node in given.values()]
    return [*found, *(part for node in actuals for part in walk(node))]


def _inner(block: Block, word: str) -> Names:
    """The identifiers within a block; the block's own name is taken."""
    names = Names([word])
    for name in [*(formal.name for formal in block.inputs), *(row.name for row in block.rows)]:
        names.of(name, name)
    return names


def part_of_program(row: Row) -> str:
    """The part of the program that a signal belongs to."""
    return PARTS.get(row.identity.served.role, OTHERS)


def _block(plan: Plan, block: Block, word: str, parts: Parts) -> str:
    first = next(iter(block.users))
    kind = plan.type_of(first)
    order = {row.name: place for place, row in enumerate(block.rows)}
    types = {formal.name: formal.type for formal in block.inputs} | {row.name: row.type for row in block.rows}
    begun = {row.name for row in block.rows if row.initial is True}
    unit = Unit(_inner(block, word), order, states=state_names(kind), types=types, begun=begun)
    unit.part_of = lambda row: row.identity.valve or SEQUENCE
    stage = next(row.name for row in block.rows if row.identity.role is Role.STAGE)
    unit.stage = stage
    outside = _outside(parts, block)
    for formal in block.inputs:
        unit.declare("VAR_INPUT", Declaration(unit.now(formal.name), formal.type.value))
    for row in block.rows:
        numbers = ", ".join(f"{place} {name}" for place, name in enumerate(unit.states))
        unit.signal(row, "VAR_OUTPUT" if row.name in outside else "VAR", numbers if row.name == stage else "")
    for place, row in enumerate(block.rows):
        unit.row(row, place)
    says = f"(* one {kind.name}: stages {', '.join(stage.name for stage in kind.stages)} *)"
    return unit.listing(f"FUNCTION_BLOCK {word}\n{says}", "END_FUNCTION_BLOCK")


class _Program:
    """The program: inputs, the plant-wide signals, a call for each circuit, outputs."""

    def __init__(self, plan: Plan, parts: Parts, block_names: Sequence[str], taken: set[str]) -> None:
        self.plan, self.parts, self.block_names = plan, parts, block_names
        count = len(parts.rows)
        self.calls = [
            (circuit, block, word)
            for circuit in plan.circuits
            for block, word in zip(parts.blocks, block_names, strict=True)
            if circuit in block.users
        ]
        order = {row.name: place for place, row in enumerate(parts.rows)}
        types = parts.network.types
        for place, (circuit, block, _) in enumerate(self.calls):
            order |= {f"{circuit}.{row.name}": count + place for row in block.rows}
        self.own = {row.name for row in (*parts.rows, *parts.after)}
        self.late = count + len(self.calls)
        order |= {row.name: self.late + place for place, row in enumerate(parts.after)}
        self.unit = Unit(Names(taken), order, types=types, part_of=part_of_program)
        self.spelled: dict[str, str] = {}
        self.valve_of = {output.name: valve for valve, (output, _) in energised(plan).items()}

    def written(self, word: str) -> tuple[str, dict[str, str]]:
        """The program's text, and what its names stand for."""
        self._declare()
        for place, row in enumerate(self.parts.rows):
            self.unit.row(row, place)
        self.unit.begin(CIRCUITS)
        for place, (circuit, block, kind) in enumerate(self.calls):
            self.unit.at = len(self.parts.rows) + place
            self._call(circuit, block, _inner(block, kind))
        for place, row in enumerate(self.parts.after):
            self.unit.row(row, self.late + place)
        self.unit.begin(OUTPUTS)
        for name in self.parts.outputs:
            if name in self.own:
                continue
            mark = next(row.mark for row in self.parts.network.assignments if row.name == name)
            self.unit.say(f"{self._output(name)} := {self.unit.now(name)};", [mark])
        return self.unit.listing(f"PROGRAM {word}", "END_PROGRAM"), self.spelled

    def _output(self, name: str) -> str:
        """The variable of an output: the program's own signal, or one that a block's is copied to."""
        if name in self.own:
            return self.unit.now(name)
        return self.unit.names.of(("output", name), name)

    def _declare(self) -> None:
        unit = self.unit
        for row in self.parts.inputs:
            if row.name in self.plan.settings:
                self._set(row)
            else:
                item, word = self.plan.inputs.get(row.name), unit.now(row.name)
                whole = whole_type(item) if item else ""
                self._wire("VAR_INPUT", "I", word, whole or row.type.value, row.name)
                if whole:
                    unit.spelled[row.name] = f"{whole}_TO_REAL({word})"
        for name in self.parts.outputs:
            self._wire("VAR_OUTPUT", "Q", self._output(name), Type.BOOL.value, name)
        for row in (*self.parts.rows, *self.parts.after):
            if row.name not in self.parts.outputs:
                self.spelled[unit.signal(row)] = row.name
        for name in self.parts.outputs:
            if name in self.own:  # last: a timer that it hands on keeps its own name when the text is read
                self.spelled[unit.now(name)] = self.spelled.pop(unit.now(name))
        for circuit, block, word in self.calls:
            instance = unit.names.of(("instance", circuit), circuit)
            unit.declare("VAR", Declaration(instance, word, note=self.plan.circuits[circuit].type))
            inner = _inner(block, word)
            for row in block.rows:
                unit.spelled[f"{circuit}.{row.name}"] = f"{instance}.{inner.of(row.name, row.name)}"
                if f"{circuit}.{row.name}" not in self.parts.outputs:
                    self.spelled[unit.spelled[f"{circuit}.{row.name}"]] = f"{circuit}.{row.name}"

    def _set(self, row: Row) -> None:
        """A setting: an input with its default, which the controller keeps while power is off."""
        item, word = self.plan.settings[row.name], self.unit.now(row.name)
        low, high = (shown(end, item.dimension, spelling=item.unit) for end in (item.low, item.high))
        note = f"{row.name}, {low} to {high}"
        self.unit.declare(KEPT_INPUT, Declaration(word, row.type.value, literal(row.initial, row.type), note))
        self.spelled[word] = row.name

    def _wire(self, section: str, letter: str, word: str, kind: str, name: str) -> None:
        """An input or output; at its direct address where the plan gives one that fits its type."""
        given = self.plan.io.terminals.get(self.valve_of.get(name, name))
        address = given.address if given else ""
        fits = f"%{letter}{SIZES[kind]}"
        note = ", ".join(part for part in (name, given.terminal if given else "") if part)
        if address.upper().startswith(fits):
            self.unit.declare("VAR", Declaration(word, kind, note=note, address=address))
        else:
            where = f"{note}, {address}" if address else note
            self.unit.declare(section, Declaration(word, kind, note=where))
        self.spelled[word] = name

    def _call(self, circuit: str, block: Block, inner: Names) -> None:
        given = []
        for formal in block.inputs:
            node = block.users[circuit][formal.name]
            if isinstance(node, Constant) and node.label:
                node = evolve(node, label=f"{circuit}.{node.label}")
            given.append(f"{inner.of(formal.name, formal.name)} := {text(node, self.unit)}")
        instance = self.unit.names.of(("instance", circuit), circuit)
        self.unit.say(f"{instance}({', '.join(given)});", [self.plan.circuits[circuit].at.own])
