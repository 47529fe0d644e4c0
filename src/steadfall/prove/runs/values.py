"""What inputs may be given in made-up runs: values about all that they are compared with, ends of settings.

Rule of this file: only which runs are made hangs on it, never what is true.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from steadfall.logic import nodes
from steadfall.logic.build.panel.settings import on_panel
from steadfall.logic.build.readings import as_handed, si_of
from steadfall.logic.network import Network
from steadfall.logic.nodes import Ends, Type
from steadfall.plan.meaning.conditions import walk as parts
from steadfall.plan.meaning.names import input_identity
from steadfall.plan.model import Demand, Input, Plan, Setting
from steadfall.plan.model.condition import Compare
from steadfall.plan.model.setting import high_level, low_level
from steadfall.prove.requirements.counted import kept
from steadfall.roles import Role, in_use, of_input

SMALL = (0, 8)  # whole numbers of which nothing is known: states, mostly
# of the way from one constant to the next; a ramp may be a band above its own
INSIDE = 0.5, 0.1, 0.9


def choices_within(network: Network, plan: Plan) -> dict[str, tuple[float, ...]]:
    """The values that inputs and settings of a plan may be given."""
    found = choices_of(network, plan, _asked(plan))
    for item in plan.settings.values():
        if item.name in network.types:
            found[item.name] = tuple(sorted({*_ends(plan, item), *found.get(item.name, ())}))
    return found


def _ends(plan: Plan, item: Setting) -> list[float]:
    """The least, the default and the greatest of a setting, as the panel shows them."""
    return [float(on_panel(plan, {item.name: end})[item.name]) for end in (item.low, item.default, item.high)]


def ends_of(plan: Plan, choices: Mapping[str, tuple[float, ...]], high: frozenset[str]) -> dict[str, float]:
    """Of each measured input what asks for most, or permits it; of each setting its default."""
    known = [(name, item) for name, item in plan.inputs.items() if name in choices]
    found = {name: _end(plan, item, choices[name], name in high) for name, item in known}
    settings = (item for item in plan.settings.values() if item.name in choices)
    return found | {item.name: _ends(plan, item)[1] for item in settings}


def _end(plan: Plan, item: Input, values: Sequence[float], high: bool) -> float:
    """The greatest, or the least, of some values that its sensor gives: many a plan trips on what lies
    beyond, or does not trust it. Nor is it one that ends a cool-down.
    """
    low, most = as_handed(item, item.low), as_handed(item, item.high)
    inside = [value for value in values if (value <= most if high else value >= low)]
    going = [value for value in inside if not _ended(plan, item, value)]
    return (max if high else min)(going or inside or values)


def _ended(plan: Plan, item: Input, value: float) -> bool:
    """Whether a value of an input may end a cool-down by itself, however the panel is set."""
    asked = parts(plan.done.when) if plan.done else ()
    return any(
        value <= as_handed(item, high_level(part.value))
        if part.op in ("<", "<=")
        else value >= as_handed(item, low_level(part.value))
        for part in asked
        if isinstance(part, Compare) and part.name == item.name
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


def choices_of(
    network: Network, plan: Plan | None = None, more: Mapping[str, set[float]] = {}
) -> dict[str, tuple[float, ...]]:
    """Values of each REAL input that lie differently among the constants it is compared with, and `more`."""
    compared = limits(network, plan)
    found = {name: _between(sorted(values | more.get(name, set()))) for name, values in compared.items()}
    return found | {row.name: _about(network, row.holds) for row in network.inputs if row.holds}


def limits(network: Network, plan: Plan | None = None) -> dict[str, set[float]]:
    """The constants that each REAL input is compared with; and what is handed over where the value that a
    plan's controller works out of it, or counts from it, stands at what that is compared with.
    """
    constants: dict[str, set[float]] = {row.name: set() for row in network.inputs if row.type is Type.REAL}
    made = _made_of(plan) if plan else {}
    levels = {in_use(item.name).name: item for item in plan.settings.values()} if plan else {}
    for node in (node for row in network.assignments for node in row.parts):
        if not isinstance(node, nodes.Compare) or not isinstance(node.left, nodes.Read):
            continue
        name, right = node.left.name, node.right
        item = made.get(name)
        if isinstance(right, nodes.Constant):
            limit = float(right.value)
            if name in constants or kept(name) in constants:
                constants[name if name in constants else kept(name)].add(limit)
            elif item is not None and item.name in constants:
                constants[item.name].add(as_handed(item, si_of(item, limit)))
        elif isinstance(right, nodes.Read) and right.name in levels and plan:
            item, level = item or plan.inputs.get(name), levels[right.name]
            if item is not None and item.name in constants:
                constants[item.name] |= {
                    as_handed(item, end) for end in (level.low, level.default, level.high)
                }
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
    every = (node for row in network.assignments for node in row.parts)
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
