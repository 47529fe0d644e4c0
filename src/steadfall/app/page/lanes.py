"""What of a controller is drawn while it runs: a row for each signal a person looks at, in their order."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from attrs import asdict, frozen

from steadfall.logic.build.stages import state_names
from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.plan.model import Plan
from steadfall.report.words.names import spoken
from steadfall.roles import Identity, Role, within
from steadfall.words import _

INPUTS, WHOLE = _("inputs"), _("whole plan")  # what belongs to no circuit
# Which signals are drawn: what is asked, what the controller does, then what it says.
DRAWN: tuple[Role, ...] = (
    *(Role.INPUT, Role.STAGE, Role.COMMAND, Role.MAIN, Role.PUMP, Role.TRIP, Role.TRIPPED, Role.PERMISSIVE),
    *(Role.PERMITTED, Role.DONE, Role.IN_HAND, Role.IN_TEST, Role.ON_HOLD, Role.OUTPUT, Role.ALARM),
)
TITLED = Role.TRIP, Role.PERMISSIVE, Role.ALARM  # that have a title of their own in the plan


@frozen
class Lane:
    """A row: of which signal, under which heading, and the words of its numbers where it has some."""

    name: str
    words: str
    group: str
    states: tuple[str, ...] = ()
    unit: str | None = None  # of a number; None: on or off, or a state

    def as_json(self) -> Mapping[str, Any]:
        """In stable names."""
        return asdict(self)


def lanes(plan: Plan, network: Network, known: Collection[str]) -> tuple[Lane, ...]:
    """The rows of what is known: inputs, circuit by circuit, the whole plan."""
    found = list(_found(plan, network, known))
    order = [INPUTS, *map(spoken, plan.circuits), WHOLE]
    ranks = {role: rank for rank, role in enumerate(DRAWN)}
    roles = {name: one.role for name, one in network.identities.items()}
    return tuple(sorted(found, key=lambda one: (order.index(one.group), ranks[roles[one.name]])))


def _found(plan: Plan, network: Network, known: Collection[str]) -> Iterator[Lane]:
    types = network.types
    for name, one in network.identities.items():
        of_valve = one.role is Role.PERMITTED and one.valve
        if name not in known or one.role not in DRAWN or of_valve or (name in plan.settings):
            continue
        if one.role is Role.STAGE:
            states = tuple(map(spoken, state_names(plan.type_of(one.circuit))))
            yield Lane(name, spoken(one.circuit), spoken(one.circuit), states)
        elif types[name] is Type.BOOL:
            yield Lane(name, _words(name, one), _group(one))
        elif one.role is Role.INPUT:
            yield Lane(name, spoken(name), INPUTS, unit=_unit(plan, name))


def _unit(plan: Plan, name: str) -> str:
    """What the controller is handed."""
    item = plan.inputs[name]
    return item.raw.unit if item.raw else item.unit or "%"


def _group(one: Identity) -> str:
    if one.role is Role.INPUT:
        return INPUTS
    return spoken(one.circuit) if one.circuit else WHOLE


def _words(name: str, one: Identity) -> str:
    if one.role in TITLED and one.of:
        return f"{one.role.value}: {one.of}"
    return spoken(name if one.role is Role.INPUT else within(name, one.circuit)).replace(".", ": ")
