"""A controller on the test rig: a network on the fast scan, and what can be done to its inputs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from attrs import evolve, field, frozen

from steadfall.logic import nodes
from steadfall.logic.build.readings import as_handed, si_of
from steadfall.logic.network import Network
from steadfall.logic.nodes import Ends, Type
from steadfall.logic.types import walk
from steadfall.plan.meaning.conditions import walk as parts
from steadfall.plan.meaning.names import input_identity, quantities
from steadfall.plan.model import ButtonCall, Call, Demand, Input, Plan
from steadfall.plan.model.condition import Signal
from steadfall.quantities import IS_OPEN
from steadfall.roles import Role, of_input
from steadfall.runs.player import Fast

SMALL = (0, 8)  # whole numbers of which nothing is known: states, mostly
# of the way from one constant to the next; a ramp may be a band above its own
INSIDE = 0.5, 0.1, 0.9


@frozen(eq=False)
class Rig:
    """A network, and how its inputs usually are and what else they may be."""

    nominal_ms: int
    longest_ms: int
    network: Network
    fast: Fast
    favoured: Mapping[str, float]
    choices: Mapping[str, tuple[float, ...]]  # of REAL inputs, and INT of known ends: about the constants
    follows: Mapping[str, str]  # limit switch -> command
    choosers: frozenset[str]
    high: frozenset[str]  # REAL inputs that ask for cooling by being high
    types: Mapping[str, Type] = field(repr=False)
    starts: tuple[str, ...] = ()  # buttons that begin a call
    ends: Mapping[str, float] = field(factory=dict)  # of REAL inputs: what asks for most, or permits it
    let_go: Mapping[str, float] = field(factory=dict)  # inputs of calls that must be made anew: no call

    @property
    def habits(self) -> str:
        """All that it says of the inputs of its network beside the network itself."""
        names = [row.name for row in self.network.inputs]
        tables = (self.favoured, self.choices, self.follows, self.ends, self.let_go)
        rows = [[(name, table[name]) for name in names if name in table] for table in tables]
        groups = (self.choosers, self.high, self.starts)
        marked = [[name for name in names if name in group] for group in groups]
        return repr((self.nominal_ms, self.longest_ms, rows, marked))


def rig(plan: Plan, network: Network) -> Rig:
    """Gets a network ready for runs."""
    known = quantities(plan)
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
        name: seen.owner
        for name, item in plan.inputs.items()
        if (seen := known.get(item.measures or "")) and seen.quantity is IS_OPEN
    }
    favoured = {name: 1.0 if name in called else item.normal for name, item in plan.inputs.items()}
    choosers = frozenset(row.name for row in network.inputs if row.name not in plan.inputs)
    high = frozenset(call.of for call in plan.calls if isinstance(call, Demand))
    high |= {ramp.of for ramp in plan.ramps.values()}
    scan, types = plan.scan, network.types
    times = (scan.nominal_ms, scan.longest_ms)
    begins = [call.start for call in plan.calls if isinstance(call, ButtonCall)]
    pressed = dict.fromkeys((*begins, *(item.button for item in plan.steps_on)))
    starts = tuple(name for name in pressed if name in types)
    choices = _choices(network, plan, _asked(plan))
    real = [(name, item) for name, item in plan.inputs.items() if name in choices]
    ends = {name: _end(item, choices[name], name in high) for name, item in real}
    let_go = {name: 1.0 - favoured[name] for name in called if name in plan.inputs}
    demands = [call.of for call in plan.calls if isinstance(call, Demand)]
    let_go |= {name: choices[name][0] for name in demands if choices.get(name)}
    let_go = {} if plan.restarts else let_go
    made = Rig(*times, network, Fast(network), favoured, choices, follows, choosers, high, types)
    return evolve(made, starts=starts, ends=ends, let_go=let_go)


def _end(item: Any, values: Sequence[float], high: bool) -> float:
    """The greatest, or the least, of some values that its sensor gives: many a plan trips on what lies
    beyond, or does not trust it.
    """
    low, most = as_handed(item, item.low), as_handed(item, item.high)
    inside = [value for value in values if (value <= most if high else value >= low)]
    return (max if high else min)(inside or values)


def plain_rig(network: Network, longest_ms: int) -> Rig:
    """The same for a part of a network, of which no plan says what is usual."""
    times = (max(1, longest_ms // 2), longest_ms)
    return Rig(
        *times,
        network,
        Fast(network),
        {},
        _choices(network),
        {},
        frozenset(),
        frozenset(),
        network.types,
    )


def _asked(plan: Plan) -> dict[str, set[float]]:
    """The values of what a ramp follows at which it asks for each of its stages, once it has fallen."""
    found: dict[str, set[float]] = {}
    for call in plan.calls:
        ramp = plan.ramps.get(call.of) if isinstance(call, Demand) else None
        if ramp is not None and isinstance(call, Demand):
            levels = [level - less for level in call.thresholds.values() for less in (0.0, call.hysteresis)]
            every = (ramp.to + ramp.band * level / 100 for level in (0.0, *levels))
            handed = (as_handed(plan.inputs[ramp.of], value) for value in every)
            found.setdefault(ramp.of, set()).update(handed)
    return found


def _choices(
    network: Network, plan: Plan | None = None, more: Mapping[str, set[float]] = {}
) -> dict[str, tuple[float, ...]]:
    """Values of each REAL input that lie differently among the constants it is compared with, and `more`."""
    compared = limits(network, plan)
    found = {name: _between(sorted(values | more.get(name, set()))) for name, values in compared.items()}
    return found | {row.name: _about(network, row.holds) for row in network.inputs if row.holds}


def limits(network: Network, plan: Plan | None = None) -> dict[str, set[float]]:
    """The constants that each REAL input is compared with; and what is handed over where the value that a
    plan's controller works out of it stands at what that is compared with.
    """
    constants: dict[str, set[float]] = {row.name: set() for row in network.inputs if row.type is Type.REAL}
    made = _made_of(plan) if plan else {}
    for node in (node for row in network.assignments for node in walk(row.node)):
        if not isinstance(node, nodes.Compare) or not isinstance(node.left, nodes.Read):
            continue
        if isinstance(node.right, nodes.Constant):
            name, limit = node.left.name, float(node.right.value)
            item = made.get(name)
            if name in constants:
                constants[name].add(limit)
            elif item is not None and item.name in constants:
                constants[item.name].add(as_handed(item, si_of(item, limit)))
    return constants


def _made_of(plan: Plan) -> Mapping[str, Input]:
    """The inputs of a plan by the value that its controller works out of each."""
    return {
        of_input(Role.VALUE, name, input_identity(plan, name)).name: item
        for name, item in plan.inputs.items()
        if not item.is_digital
    }


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
