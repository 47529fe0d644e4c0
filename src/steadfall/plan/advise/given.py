"""What the pieces of advice share: their type, and the ways through a plan that they go."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from attrs import frozen

from steadfall import quantities as q
from steadfall.plan.meaning.conditions import Stated, parts_of
from steadfall.plan.meaning.names import Observed, quantities, resolve, segment, signals
from steadfall.plan.model import Body, CircuitType, GasStream, Input, Plan, Stage, Supply
from steadfall.plan.model.condition import Condition, Not
from steadfall.source import Problem

Advice = Iterator[Problem]
Piece = Callable[[Plan], Advice]


def air_valves(plan: Plan, kind: CircuitType) -> list[str]:
    """The valves of a circuit type that let air in."""
    return [v.name for v in kind.valves.values() if v.supply and plan.supplies[v.supply].fluid == "air"]


def stages(plan: Plan) -> Iterator[tuple[CircuitType, Stage]]:
    """Every stage with its circuit type."""
    for kind in plan.circuit_types.values():
        yield from ((kind, stage) for stage in kind.stages)


def lumps(plan: Plan) -> list[Body | GasStream]:
    """Everything that holds heat."""
    return [*plan.bodies.values(), *plan.gas_streams.values()]


def signed(condition: Condition, straight: bool = True) -> Iterator[tuple[Condition, bool]]:
    """Every part of a condition, and whether the condition asks for it (or, below a `not`, against it)."""
    yield condition, straight
    for part in parts_of(condition):
        yield from signed(part, straight != isinstance(condition, Not))


def supplies_of(plan: Plan, kind: CircuitType) -> list[Supply]:
    """What the valves of a circuit type let in."""
    return [plan.supplies[valve.supply] for valve in kind.valves.values() if valve.supply]


@frozen
class Sensors:
    """The sensors of a plan: what each measures, and what it shows before cooling begins."""

    plan: Plan
    known: Mapping[str, Observed]

    @classmethod
    def of(cls, plan: Plan) -> Sensors:
        """Those of a plan."""
        return cls(plan, quantities(plan))

    def named(self, name: str, stated: Stated) -> Input | None:
        """The input that a name of a condition stands for."""
        return self.plan.inputs.get(resolve(name, stated.circuit, signals(self.plan)) or "")

    def measured(self, item: Input | None) -> Observed | None:
        """The quantity of the plant behind an input."""
        return self.known.get(item.measures or "") if item else None

    def starts(self, seen: Observed | None) -> float | None:
        """The temperature in K at the start of whatever a quantity is a temperature of."""
        if seen is None or seen.dimension != "temperature":
            return None
        circuit = self.plan.circuits.get(seen.owner)
        host = circuit.host if circuit and seen.quantity.of is q.Owner.CIRCUIT else seen.owner
        return next((body.start for body in lumps(self.plan) if _is(body, host)), None)


def _is(body: Body | GasStream, name: str) -> bool:
    """Whether a name is a body's or that of one of its parts."""
    parts = body.parts if isinstance(body, Body) else 1
    return name == body.name or (parts > 1 and name in {segment(body.name, k + 1) for k in range(parts)})


def coldest(plan: Plan) -> float:
    """The lowest temperature in K to which anything can be cooled: that of a supply or of the hall."""
    return min([plan.ambient, *(supply.temperature for supply in plan.supplies.values())])
