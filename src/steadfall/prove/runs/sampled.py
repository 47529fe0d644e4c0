"""States that the controller comes to, many and as different as can be, from runs that jump.

Rule of this file: every state is one that single scans come to, the one before the first scan among them. How
many runs are made follows from what they show, never from a clock.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from attrs import frozen

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.prove.runs.courses import Course, course
from steadfall.prove.runs.registers import WITH_STATE, registers
from steadfall.prove.runs.rig import Rig
from steadfall.prove.system.dues import dues
from steadfall.prove.system.kept import STARTED, Part
from steadfall.prove.system.slots import Slot
from steadfall.prove.system.step import Model
from steadfall.runs.strides import NEVER, play_strides
from steadfall.scan import opcodes as op
from steadfall.scan.program import Program, Registers, fresh

BATCH, MOST = 10, 40  # runs, until a batch shows no new mode; runs at most
SOON = 5000  # ms: the lesser times of a network
KINDS = ("ints", "reals")
_NOTHING = np.zeros(0, dtype=np.int64)
NO_FOLLOWING = np.zeros((0, 2), dtype=np.int64)
_NO_LOSS = (_NOTHING, _NOTHING, _NOTHING, np.zeros(0), _NOTHING)
_WEIGHTS = np.random.default_rng(1).integers(1, 2**62, 4096)  # any numbers would do: they tell modes apart


@frozen(eq=False)
class Machine:
    """What of a network the strides need: see `runs.strides.play_strides`."""

    of: Rig
    clocks: tuple[Any, ...]  # but for the ages themselves
    loss: tuple[Any, ...]
    resting: Any
    columns: Any
    order: Any  # where each slot stands among columns, ms and ages
    follow: Any = (
        NO_FOLLOWING  # int64[f, 2]: an input's register, and that of the signal whose value it takes
    )


def sampled(model: Model, of: Rig, slots: Sequence[Slot], *, power_cut: bool) -> Any:
    """int64[states, slots]: states of runs of the model's network."""
    machine = machine_of(model, of, slots, power_cut=power_cut)
    times = times_of(model.network)
    plain = np.array([place for place, slot in enumerate(slots) if not slot.clock], dtype=np.int64)
    found = [np.array([[int(slot.initial) for slot in slots]], dtype=np.int64)]
    seen, before = set[int](), 0
    for seed in range(MOST):
        rows, _ = states(machine, course(of, seed, times, power_cut=power_cut))
        found.append(rows)
        seen.update(np.unique(rows[:, plain] @ _WEIGHTS[: len(plain)]).tolist())
        if seed % BATCH == BATCH - 1:
            if len(seen) == before:
                break
            before = len(seen)
    return np.concatenate(found)


def times_of(network: Network) -> list[int]:
    """The lesser times of a network, after which something may come."""
    return sorted({due for row in dues(network).values() for due in row if 0 < due <= SOON}) or [1]


def states(machine: Machine, one: Course) -> tuple[Any, Any]:
    """The states of one run, slot by slot, and the ms that each step took."""
    many, begins = len(machine.columns), machine.clocks[2]
    rows = np.zeros((len(one.dts), many + 1 + len(begins)), dtype=np.int64)
    play(machine, one, fresh(machine.of.fast.program), begins.copy(), rows)
    return rows[:, machine.order], rows[:, many]


def play(machine: Machine, one: Course, memory: Registers, ages: Any, rows: Any) -> None:
    """Plays a course from where memory and ages are, which change; what is so after each step is in `rows`:
    the machine's columns, ms that have passed, and ages where there is room for them.
    """
    program = machine.of.fast.program
    where = [program.register(name) for _, name, _ in one.moves]
    moves = (
        np.array([at for at, _, _ in one.moves], dtype=np.int64),
        np.array([kind == "reals" for kind, _ in where], dtype=np.uint8),
        np.array([place for _, place in where], dtype=np.int64),
        np.array([value for _, _, value in one.moves], dtype=np.float64),
        machine.follow,
    )
    going = (one.dts, one.ends, one.afters, one.offs, machine.of.longest_ms)
    kept = (machine.resting, machine.columns, rows)
    play_strides((program.code, *memory), moves, going, (ages, *machine.clocks), machine.loss, kept)


def machine_of(model: Model, of: Rig, slots: Sequence[Slot], *, power_cut: bool) -> Machine:
    """What of a network the strides need, to show some parts of its state."""
    program, network = of.fast.program, model.network
    where = registers(model, program)
    ages = [slot for slot in model.slots if slot.part is Part.AGE]
    others = [slot for slot in model.slots if slot.clock and slot.part is not Part.AGE]
    events = {row.name: row.node.event for row in network.assignments if isinstance(row.node, nodes.Since)}
    known = dues(network)
    rows = [sorted(known.get(slot.key, ())) for slot in (*ages, *others)]
    wide = max(map(len, rows), default=0)
    clocks = (
        _whole(where[slot.key].place for slot in ages),
        _whole(program.where[events[slot.name]].place for slot in ages),
        _whole(int(slot.initial) for slot in ages),
        _whole(int(slot.high) if math.isfinite(slot.high) else NEVER for slot in ages),
        np.array([slot.watches for slot in ages], dtype=np.bool_),
        _whole(where[slot.key].place for slot in others),
        np.array([[*row, *[-1] * (wide - len(row))] for row in rows], dtype=np.int64).reshape(
            len(rows), wide
        ),
    )
    plain = [slot for slot in model.slots if not slot.clock and slot.key in where]
    columns = [slot for slot in slots if slot.part is not Part.AGE]
    places = {slot.key: place for place, slot in enumerate((*columns, None, *ages)) if slot}
    return Machine(
        of,
        clocks,
        _loss(network, program) if power_cut else _NO_LOSS,
        _whole(where[slot.key].place for slot in plain if where[slot.key].kind == "ints"),
        _whole(op.FIRST_SCAN_DONE if slot.key == STARTED else where[slot.key].place for slot in columns),
        np.array([places[slot.key] for slot in slots], dtype=np.int64),
    )


def _whole(values: Any) -> Any:
    return np.array(list(values), dtype=np.int64)


def _loss(network: Network, program: Program) -> tuple[Any, ...]:
    """What a power cut does to the registers: see `runs.strides.lose_power`."""
    spared = {row.name for row in network.assignments if row.identity.watches}
    where = [program.where[name] for name in (*spared, *(row.name for row in network.inputs))]
    kept = {kind: {one.place for one in where if one.kind == kind} for kind in KINDS}
    put_off = set[int]()
    for what, target, event, _, first in program.code.tolist():
        if what in WITH_STATE and target in kept["ints"]:
            kept["ints"] |= {first, first + 1}
        if what == op.SINCE and target in kept["ints"]:
            put_off.add(event)
    for what, copy, of, _, _ in program.code.tolist():  # of last values
        kind = {op.MOVE: "ints", op.REAL_MOVE: "reals"}.get(what)
        if kind and of in kept[kind]:
            kept[kind].add(copy)
    ints = _whole(place for place in range(len(program.ints)) if place not in kept["ints"])
    reals = _whole(place for place in range(len(program.reals)) if place not in kept["reals"])
    return ints, program.ints[ints], reals, program.reals[reals], _whole(sorted(put_off))
