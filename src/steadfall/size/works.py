"""What a plan is seen as while it is sized: its valves as they stand alone, and what a batch took."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import field, frozen

from steadfall.plan.model import CircuitType, Plan
from steadfall.predict.outcome.result import CircuitUse, Prediction, ValveUse
from steadfall.roles import command
from steadfall.size.shared import as_it_flows
from steadfall.size.stream import Drawn, Stream, alone, drawn


@frozen
class Inlet:
    """A valve that lets something in: what it is part of, its flow alone, the circuits that have it."""

    about: str
    drawn: Drawn
    stream: Stream
    circuits: tuple[str, ...]


@frozen
class Works:
    """A plan, a prediction of it, and its inlets."""

    given: Plan  # as written
    plan: Plan  # with main valves and valves in outlets in the Kv of supplies and outlets
    batch: Prediction
    inlets: tuple[Inlet, ...]
    circuits: dict[str, tuple[str, ...]] = field(factory=dict)  # by the name of their type

    def kinds(self) -> Iterator[tuple[CircuitType, tuple[str, ...]]]:
        """Every circuit type that is used, with its circuits."""
        for name, circuits in self.circuits.items():
            yield self.plan.circuit_types[name], circuits

    def inlets_of(self, kind: CircuitType) -> tuple[Inlet, ...]:
        """The inlets of a circuit type."""
        return tuple(one for one in self.inlets if one.drawn.kind.name == kind.name)

    def use_of(self, circuit: str) -> CircuitUse:
        """What a circuit took in the batch."""
        return next(use for use in self.batch.circuits if use.circuit == circuit)

    def valve_use(self, circuit: str, valve: str) -> ValveUse:
        """How a valve was used in the batch."""
        name = command(circuit, valve).name
        return next(use for use in self.batch.valves if use.valve == name)


def works(given: Plan, batch: Prediction) -> Works:
    """A plan without settings, seen for sizing."""
    plan = as_it_flows(given)
    circuits: dict[str, tuple[str, ...]] = {}
    for name, circuit in plan.circuits.items():
        circuits[circuit.type] = (*circuits.get(circuit.type, ()), name)
    inlets = []
    for name, mine in circuits.items():
        kind = plan.circuit_types[name]
        for valve in kind.valves.values():
            if valve.supply is not None:
                one = drawn(plan, kind, valve)
                inlets.append(Inlet(f"{kind.name}.{valve.name}", one, alone(one), mine))
    return Works(given, plan, batch, tuple(inlets), circuits)
