"""Running the controller on made-up inputs: shows requirements at work, and finds long violations quickly.

Rule of this file: every run is decided by its seed. Some runs are ordinary days (what calls is on, what must
hold holds, now and then something changes), some flicker one input. What is found is a run of scans, to be
replayed.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from attrs import field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import Ends, Type, Value
from steadfall.logic.types import walk
from steadfall.plan.meaning.conditions import walk as parts
from steadfall.plan.model import Call, Demand, Plan
from steadfall.plan.model.condition import Signal
from steadfall.prove.runs.stimuli_kernel import drive, record
from steadfall.prove.system.replay import Scan
from steadfall.scan.program import Program, compile_network, fresh

LONGEST_RUN = 16_000  # scans
SMALL = (0, 8)  # whole numbers of which nothing is known: states, mostly
INSIDE = (
    0.5,
    0.1,
    0.9,
)  # of the way from one constant to the next; near an end, as a ramp may be a band above its own
Move = tuple[int, str, float]  # scan number, input, value


@frozen(eq=False)
class Course:
    """The inputs of one run: the time of each scan, and what changes when."""

    dts: tuple[int, ...]
    moves: tuple[Move, ...]
    following: bool  # limit switches follow their valves


@frozen(eq=False)
class Driver:
    """A network on the fast machine, and what can be done to its inputs."""

    nominal_ms: int
    longest_ms: int
    network: Network
    program: Program
    favoured: Mapping[str, float]
    choices: Mapping[
        str, tuple[float, ...]
    ]  # of REAL inputs, and INT of known ends: values about the constants
    follows: Mapping[str, str]  # limit switch -> command
    choosers: frozenset[str]
    high: frozenset[str]  # REAL inputs that ask for cooling by being high
    types: Mapping[str, Type] = field(repr=False)


def driver(plan: Plan, network: Network) -> Driver:
    """Gets a network ready for runs."""
    called = {
        part.name
        for call in plan.calls
        if isinstance(call, Call)
        for part in parts(call.when)
        if isinstance(part, Signal)
    }
    called |= {
        part.name for ramp in plan.ramps.values() for part in parts(ramp.when) if isinstance(part, Signal)
    }
    follows = {
        name: item.measures.removesuffix(".is_open")
        for name, item in plan.inputs.items()
        if item.measures and item.measures.endswith(".is_open")
    }
    favoured = {name: 1.0 if name in called else item.normal for name, item in plan.inputs.items()}
    choosers = frozenset(row.name for row in network.inputs if row.name not in plan.inputs)
    high = frozenset(call.of for call in plan.calls if isinstance(call, Demand))
    high |= {ramp.of for ramp in plan.ramps.values()}
    scan, types = plan.scan, network.types
    times = (scan.nominal_ms, scan.longest_ms)
    return Driver(
        *times, network, compile_network(network), favoured, _choices(network), follows, choosers, high, types
    )


def plain_driver(network: Network, longest_ms: int) -> Driver:
    """The same for a part of a network, of which no plan says what is usual."""
    times = (max(1, longest_ms // 2), longest_ms)
    return Driver(
        *times,
        network,
        compile_network(network),
        {},
        _choices(network),
        {},
        frozenset(),
        frozenset(),
        network.types,
    )


def _choices(network: Network) -> dict[str, tuple[float, ...]]:
    """Values of each REAL input that lie differently among the constants it is compared with."""
    found = {name: _between(sorted(values)) for name, values in limits(network).items()}
    return found | {row.name: _about(network, row.holds) for row in network.inputs if row.holds}


def limits(network: Network) -> dict[str, set[float]]:
    """The constants that each REAL input is compared with."""
    constants: dict[str, set[float]] = {row.name: set() for row in network.inputs if row.type is Type.REAL}
    for row in network.assignments:
        for node in walk(row.node):
            if not isinstance(node, nodes.Compare) or not isinstance(node.left, nodes.Read):
                continue
            if node.left.name in constants and isinstance(node.right, nodes.Constant):
                constants[node.left.name].add(float(node.right.value))
    return constants


def _about(network: Network, holds: Ends) -> tuple[float, ...]:
    """Small whole numbers, those about the constants of the network, and both ends."""
    every = (node for row in network.assignments for node in walk(row.node))
    constants = {
        int(node.value) for node in every if isinstance(node, nodes.Constant) and node.type is Type.INT
    }
    wanted = {
        *range(SMALL[0], SMALL[1] + 1),
        *(value + more for value in constants for more in (-1, 0, 1)),
        *holds,
    }
    return tuple(float(value) for value in sorted(wanted) if holds[0] <= value <= holds[1])


def _between(values: Sequence[float]) -> tuple[float, ...]:
    if not values:
        return (0.0, 25.0, 50.0, 75.0, 100.0, 150.0, 250.0)
    inside = [a + share * (b - a) for a, b in pairwise(values) for share in INSIDE]
    return (values[0] - 1.0, *values, *inside, values[-1] + 1.0)


@lru_cache(maxsize=64)
def course(of: Driver, seed: int) -> Course:
    """The run of a seed."""
    luck = random.Random(seed)
    nominal, longest = of.nominal_ms, of.longest_ms
    usual = luck.choice([nominal, longest, longest, 0])
    dts = (usual,) * LONGEST_RUN if usual else tuple(luck.randint(1, longest) for _ in range(LONGEST_RUN))
    if (
        not usual and seed % 8 >= 4
    ):  # the quickest and the slowest scans alone: sums of delays come to their ends
        extremes = random.Random(f"scans {seed}")
        dts = tuple(extremes.choices((1, longest), k=LONGEST_RUN))
    moves = (_day, _stairs, _flicker, _steady)[seed % 4](of, luck, dts) if of.network.inputs else []
    return Course(dts, tuple(sorted(moves, key=lambda move: move[0])), following=luck.random() < 0.8)


def _usual(of: Driver, luck: random.Random, name: str) -> float:
    if of.types[name] in (Type.INT, Type.TIME):
        return _whole(of, luck, name)
    if name in of.choices:
        end = of.choices[name][-1 if name in of.high else 0]
        return luck.choice((end, end, luck.choice(of.choices[name])))
    return of.favoured.get(name, 0.0)


def _whole(of: Driver, luck: random.Random, name: str) -> float:
    return luck.choice(of.choices[name]) if name in of.choices else float(luck.randint(*SMALL))


def _day(of: Driver, luck: random.Random, dts: Sequence[int]) -> list[Move]:
    """Everything as usual, then now and then something else."""
    names = [row.name for row in of.network.inputs]
    moves: list[Move] = [(0, name, _usual(of, luck, name)) for name in names]
    scan, calm = 0, luck.choice([0.5, 0.8, 0.95])
    typical = luck.choice([1, 20, 400, 2500])
    while scan < len(dts):
        scan += max(1, int(typical * luck.expovariate(1.0)))
        name = luck.choice(names)
        value = _usual(of, luck, name) if luck.random() < calm else _other(of, luck, name)
        moves.append((scan, name, value))
    return moves


def _stairs(of: Driver, luck: random.Random, dts: Sequence[int]) -> list[Move]:
    """Everything as usual, some measured values going down (or up) by steps, and now and then a switch
    changes.
    """
    names = [row.name for row in of.network.inputs]
    moves: list[Move] = [(0, name, _usual(of, luck, name)) for name in names]
    switches = [row.name for row in of.network.inputs if row.type is Type.BOOL]
    together, dwell = luck.random() < 0.5, luck.randint(500, 3000)
    for name in names:
        steps = of.choices.get(name, ())
        if not steps or luck.random() < 0.3:
            continue
        if luck.random() < 0.8:
            steps = tuple(reversed(steps))
        own = dwell if together else luck.randint(500, 3000)
        moves += [(place * own, name, value) for place, value in enumerate(steps)]
    for _ in range(luck.choice([0, 0, 3, 10]) if switches else 0):
        scan, name = luck.randrange(len(dts)), luck.choice(switches)
        moves += [
            (scan, name, _other(of, luck, name)),
            (scan + luck.randint(1, 500), name, of.favoured.get(name, 0.0)),
        ]
    return moves


def _steady(of: Driver, luck: random.Random, dts: Sequence[int]) -> list[Move]:
    """What asks for cooling is held somewhere until a ramp has left it behind; then switches change, now and
    then.
    """
    names = [row.name for row in of.network.inputs]
    moves: list[Move] = [(0, name, _usual(of, luck, name)) for name in names]
    moves += [
        (0, name, luck.choice(of.choices[name][1:-1]))
        for name in names
        if name in of.high & of.choices.keys()
    ]
    others = [row.name for row in of.network.inputs if row.name not in of.high]
    for _ in range(luck.choice([1, 3, 6]) if others else 0):
        scan, name = luck.randrange(len(dts)), luck.choice(others)
        moves += [
            (scan, name, _other(of, luck, name)),
            (scan + luck.randint(1, 500), name, _usual(of, luck, name)),
        ]
    return moves


def _other(of: Driver, luck: random.Random, name: str) -> float:
    if of.types[name] in (Type.INT, Type.TIME):
        return _whole(of, luck, name)
    if name in of.choices:
        return luck.choice(of.choices[name])
    return 1.0 - of.favoured.get(name, 0.0)


def _flicker(of: Driver, luck: random.Random, dts: Sequence[int]) -> list[Move]:
    """Everything as usual, and one switch goes on and off; stretches of observers begin early."""
    names = [row.name for row in of.network.inputs]
    moves: list[Move] = [(0, name, _usual(of, luck, name)) for name in names]
    switches = [
        row.name for row in of.network.inputs if row.type is Type.BOOL and row.name not in of.choosers
    ]
    moves += [(0, name, 1.0) for name in of.choosers]
    moves += [(luck.randint(1, 200), name, 0.0) for name in of.choosers]
    if not switches:
        return moves
    on_as_usual = [name for name in switches if of.favoured.get(name)]
    one = luck.choice(luck.choice((switches, on_as_usual or switches)))
    on, off = (max(1, int(10 ** luck.uniform(0, 2))) for _ in range(2))
    scan = luck.choice((luck.randint(0, 100), luck.randrange(len(dts))))  # late: when it has climbed
    while scan < len(dts):
        moves += [(scan, one, 1.0), (scan + on, one, 0.0)]
        scan += on + off
    return moves


def run(of: Driver, inputs: Course, watched: Sequence[str]) -> list[int]:
    """The first scan in which each watched signal is true, -1 where it never is."""
    registers = fresh(of.program)
    first = np.full(len(watched), -1, dtype=np.int64)
    places = np.array([of.program.register(name)[1] for name in watched], dtype=np.int64)
    drive(
        (of.program.code, registers.ints, registers.reals),
        np.array(inputs.dts, dtype=np.int64),
        moves_of(of, inputs),
        follow_of(of, inputs),
        places,
        first,
    )
    return [int(scan) for scan in first]


def follow_of(of: Driver, inputs: Course) -> Any:
    """The limit switches that follow their valves, as registers: int64[f, 2]."""
    rows = [
        (of.program.register(switch)[1], of.program.register(command)[1])
        for switch, command in of.follows.items()
        if inputs.following and switch in of.types and command in of.types
    ]
    return np.array(rows, dtype=np.int64).reshape(-1, 2)


def recorded(of: Driver, inputs: Course, columns: Sequence[str], last: int) -> Any:
    """The values of whole or true/false signals after every scan of a run up to one: int64[scans,
    columns].
    """
    places = np.array([of.program.register(name)[1] for name in columns], dtype=np.int64)
    dts = np.array(inputs.dts[: last + 1], dtype=np.int64)
    registers, out = fresh(of.program), np.zeros((len(dts), len(columns)), dtype=np.int64)
    program = (of.program.code, registers.ints, registers.reals)
    record(program, dts, moves_of(of, inputs), follow_of(of, inputs), places, out)
    return out


def moves_of(of: Driver, inputs: Course) -> Any:
    """The changes of a run as arrays for the fast machine."""
    rows = [(at, *of.program.register(name), value) for at, name, value in inputs.moves if name in of.types]
    return (
        np.array([row[0] for row in rows], dtype=np.int64),
        np.array([row[1] == "reals" for row in rows], dtype=np.uint8),
        np.array([row[2] for row in rows], dtype=np.int64),
        np.array([row[3] for row in rows], dtype=np.float64),
    )


def samples(of: Driver, columns: Sequence[str], seeds: Iterable[int], length: int) -> Any:
    """The values of whole or true/false signals after every scan of some runs: int64[scans, columns]."""
    places = np.array([of.program.register(name)[1] for name in columns], dtype=np.int64)
    found = []
    for seed in seeds:
        registers, inputs = fresh(of.program), course(of, seed)
        out = np.zeros((min(length, len(inputs.dts)), len(columns)), dtype=np.int64)
        follow = np.zeros((0, 2), dtype=np.int64)
        dts = np.array(inputs.dts[:length], dtype=np.int64)
        record(
            (of.program.code, registers.ints, registers.reals), dts, moves_of(of, inputs), follow, places, out
        )
        found.append(out)
    return np.concatenate(found)


def scans_of(of: Driver, inputs: Course, last: int) -> list[Scan]:
    """A run up to a scan as inputs scan by scan, limit switches included, by running it again."""
    registers = fresh(of.program)
    by_scan: dict[int, list[tuple[str, float]]] = {}
    for at, name, value in inputs.moves:
        by_scan.setdefault(at, []).append((name, value))
    none: Any = (np.zeros(0, np.int64), np.zeros(0, np.uint8), np.zeros(0, np.int64), np.zeros(0))
    empty, nothing = np.zeros((0, 2), dtype=np.int64), np.zeros(0, dtype=np.int64)
    found: list[Scan] = []
    for scan, dt in enumerate(inputs.dts[: last + 1]):
        now: dict[str, Value] = {}
        if inputs.following:
            now |= {
                switch: bool(registers.ints[of.program.register(command)[1]])
                for switch, command in of.follows.items()
                if switch in of.types and command in of.types
            }
        now |= {name: _typed(of, name, value) for name, value in by_scan.get(scan, ()) if name in of.types}
        for name, value in now.items():
            kind, register = of.program.register(name)
            (registers.reals if kind == "reals" else registers.ints)[register] = value
        one = np.array([dt if found else 0], dtype=np.int64)
        drive((of.program.code, registers.ints, registers.reals), one, none, empty, nothing, nothing)
        found.append((dt if found else 0, now))
    return found


def _typed(of: Driver, name: str, value: float) -> Value:
    kind = of.types[name]
    return bool(value) if kind is Type.BOOL else float(value) if kind is Type.REAL else int(value)


__all__ = ["Course", "Driver", "course", "driver", "recorded", "run", "scans_of"]
