"""A controller on the test rig: a network on the fast scan, and what can be done to its inputs."""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve, field, frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.plan.meaning.conditions import walk as parts
from steadfall.plan.meaning.names import quantities
from steadfall.plan.meaning.person.hand import rests_open
from steadfall.plan.model import ButtonCall, Call, Demand, Plan
from steadfall.plan.model.condition import Signal
from steadfall.prove.runs.values import choices_of, choices_within, ends_of
from steadfall.quantities import IS_OPEN
from steadfall.roles import Role
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
    uncalled: Mapping[str, float] = field(factory=dict)  # nobody calls; what is set free stands in idle
    tests: str = ""  # the button that begins a valve test
    keys: Mapping[str, float] = field(factory=dict)  # switches of hand mode, as they ask for it
    by_hand: Mapping[str, float] = field(factory=dict)  # switches that move valves then, as they ask for that

    @property
    def habits(self) -> str:
        """All that it says of the inputs of its network beside the network itself."""
        names = [row.name for row in self.network.inputs]
        tables = (self.favoured, self.choices, self.follows, self.ends, self.let_go, self.uncalled)
        rows = [[(name, table[name]) for name in names if name in table] for table in tables]
        groups = (self.choosers, self.high, self.starts)
        marked = [[name for name in names if name in group] for group in groups]
        hand = sorted(self.keys.items()), sorted(self.by_hand.items())
        return repr((self.nominal_ms, self.longest_ms, rows, marked, self.tests, hand))


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
    let_go = {} if plan.restarts else dict(uncalled)
    uncalled |= _at_rest(plan, network)
    tests = plan.test.start if plan.test and plan.test.start in types else ""
    made = Rig(*times, network, Fast(network), favoured, choices, follows, choosers, high, types)
    made = evolve(made, starts=starts, ends=ends, let_go=let_go, uncalled=uncalled, tests=tests)
    return evolve(made, keys=_asking(made, _keys(plan)), by_hand=_asking(made, _moving(plan)))


def _keys(plan: Plan) -> set[str]:
    named = parts(plan.hand.when) if plan.hand else ()
    return {part.name for part in named if isinstance(part, Signal)}


def _moving(plan: Plan) -> set[str]:
    return set(plan.hand.valves.values()) if plan.hand else set()


def _asking(of: Rig, names: set[str]) -> dict[str, float]:
    """Switches among some inputs, as they usually are not."""
    switches = sorted(name for name in names if of.types.get(name) is Type.BOOL)
    return {name: 1.0 - of.favoured.get(name, 0.0) for name in switches}


def _at_rest(plan: Plan, network: Network) -> dict[str, float]:
    """How stages and valves of other circuits stand while nobody calls, where they are set free."""
    known = {row.name: row.identity.role for row in network.inputs}
    found = {name: 0.0 for name, role in known.items() if role is Role.STAGE}
    commands = (name for name, role in known.items() if role is Role.COMMAND)
    return found | {name: float(rests_open(plan, name)) for name in commands}


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
