"""A controller on the test rig: a network on the fast scan, and what can be done to its inputs."""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve, field, frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.plan.meaning.conditions import walk as parts
from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import ButtonCall, Call, Demand, Plan
from steadfall.plan.model.condition import Signal
from steadfall.prove.runs.values import choices_of, choices_within, ends_of
from steadfall.quantities import IS_OPEN
from steadfall.runs.player import Fast


@frozen(eq=False)
class Rig:
    """A network, and how its inputs usually are and what else they may be."""

    nominal_ms: int
    longest_ms: int
    network: Network
    fast: Fast
    favoured: Mapping[str, float]
    choices: Mapping[str, tuple[float, ...]]  # of REAL inputs, INT of known ends and settings
    follows: Mapping[str, str]  # limit switch -> command
    choosers: frozenset[str]
    high: frozenset[str]  # REAL inputs that ask for cooling by being high
    types: Mapping[str, Type] = field(repr=False)
    starts: tuple[str, ...] = ()  # buttons that begin a call
    ends: Mapping[str, float] = field(factory=dict)  # of what has choices: what asks for most, or is usual
    let_go: Mapping[str, float] = field(factory=dict)  # inputs of calls that must be made anew: no call
    uncalled: Mapping[str, float] = field(factory=dict)  # inputs of calls: no call
    tests: str = ""  # the button that begins a valve test

    @property
    def habits(self) -> str:
        """All that it says of the inputs of its network beside the network itself."""
        names = [row.name for row in self.network.inputs]
        tables = (self.favoured, self.choices, self.follows, self.ends, self.let_go, self.uncalled)
        rows = [[(name, table[name]) for name in names if name in table] for table in tables]
        groups = (self.choosers, self.high, self.starts)
        marked = [[name for name in names if name in group] for group in groups]
        return repr((self.nominal_ms, self.longest_ms, rows, marked, self.tests))


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
    own = plan.inputs.keys() | plan.settings.keys()
    whole = (row for row in network.inputs if row.type is not Type.REAL)  # else where a counter begins
    choosers = frozenset(row.name for row in whole if row.name not in own)
    high = frozenset(call.of for call in plan.calls if isinstance(call, Demand))
    high |= {ramp.of for ramp in plan.ramps.values()}
    scan, types = plan.scan, network.types
    times = (scan.nominal_ms, scan.longest_ms)
    begins = [call.start for call in plan.calls if isinstance(call, ButtonCall)]
    pressed = dict.fromkeys((*begins, *(item.button for item in plan.steps_on)))
    starts = tuple(name for name in pressed if name in types)
    choices = choices_within(network, plan)
    ends = ends_of(plan, choices, high)
    uncalled = {name: 1.0 - favoured[name] for name in called if name in plan.inputs}
    demands = [call.of for call in plan.calls if isinstance(call, Demand)]
    uncalled |= {name: choices[name][0] for name in demands if choices.get(name)}
    let_go = {} if plan.restarts else uncalled
    tests = plan.test.start if plan.test and plan.test.start in types else ""
    made = Rig(*times, network, Fast(network), favoured, choices, follows, choosers, high, types)
    return evolve(made, starts=starts, ends=ends, let_go=let_go, uncalled=uncalled, tests=tests)


def plain_rig(network: Network, longest_ms: int) -> Rig:
    """The same for a part of a network, of which no plan says what is usual."""
    times = (max(1, longest_ms // 2), longest_ms)
    return Rig(
        *times,
        network,
        Fast(network),
        {},
        choices_of(network),
        {},
        frozenset(),
        frozenset(),
        network.types,
    )
