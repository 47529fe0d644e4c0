"""What a person calls the signals of a plan, and the line on which each thing is written.

Without a plan (structured text from elsewhere) nothing is known of them, and signals go by their names.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from attrs import field, frozen

from steadfall.logic.build.stages import state_names
from steadfall.plan.meaning.names import input_identity, resolve, valves
from steadfall.plan.model import FinishStep, Plan, Stage
from steadfall.plan.model import condition as said
from steadfall.roles import Identity, Role, in_use, of_input, of_ramp, stage
from steadfall.source import Mark

Titled = tuple[str, Mark]


@frozen
class Wording:
    """Names and places: states by the stage signal, titles by signal, units of numbers, valves, doses by
    stage.
    """

    states: Mapping[str, tuple[Titled, ...]] = field(factory=dict)
    titles: Mapping[Identity, Titled] = field(factory=dict)  # of permissives and trips
    units: Mapping[str, str] = field(factory=dict)
    valves: Mapping[str, Mapping[int, Mark]] = field(
        factory=dict
    )  # where each stage says what the valve does
    plan_made: bool = False

    def state(self, signal: str, number: int) -> Titled | None:
        """A stage's name and place, by the signal and its value."""
        known = self.states.get(signal, ())
        return known[number] if 0 <= number < len(known) else None


PLAIN = Wording()


def wording_of(plan: Plan) -> Wording:
    """The words of a plan."""
    return Wording(
        {stage(circuit): tuple(_states(plan, circuit)) for circuit in plan.circuits},
        dict(_titles(plan)),
        dict(_units(plan)),
        {name: _actions(plan, name) for name in valves(plan)} | {name: {} for name in plan.main_valves},
        True,
    )


def _states(plan: Plan, circuit: str) -> Iterator[Titled]:
    kind = plan.type_of(circuit)
    works: list[Stage | FinishStep] = [*kind.stages, *kind.finish]
    places = [plan.circuits[circuit].at.own, *(state.at.own for state in works)]
    return zip(state_names(kind), places, strict=True)


def _titles(plan: Plan) -> Iterator[tuple[Identity, Titled]]:
    for item in plan.permissives:
        if isinstance(item.needs, said.Signal):  # the input itself is the permissive
            name = resolve(item.needs.name, None, plan.inputs) or item.needs.name
            yield input_identity(plan, name), (item.name, item.at.own)
        yield Identity(Role.PERMISSIVE, of=item.name), (item.name, item.at.own)
    for trip in plan.trips:
        yield Identity(Role.TRIP, of=trip.name), (trip.name, trip.at.own)


def _units(plan: Plan) -> Iterator[tuple[str, str]]:
    for item in plan.inputs.values():
        if not item.is_digital:
            unit, given = "%" if item.kind == "percent" else item.unit, input_identity(plan, item.name)
            yield item.name, item.raw.unit if item.raw else unit
            for role in (Role.VALUE, Role.UNFILTERED):
                yield of_input(role, item.name, given).name, unit
    for level in plan.settings.values():
        yield from ((name, level.unit) for name in (level.name, in_use(level.name).name))
    for ramp in plan.ramps.values():
        yield ramp.name, "%"
        yield of_ramp(Role.SET_POINT, ramp.name).name, plan.inputs[ramp.of].unit


def _actions(plan: Plan, valve: str) -> Mapping[int, Mark]:
    signal = valves(plan)[valve]
    kind = plan.type_of(signal.circuit)
    works: list[Stage | FinishStep] = [*kind.stages, *kind.finish]
    return {number: state.at.own for number, state in enumerate(works, 1) if signal.valve in state.actions}
