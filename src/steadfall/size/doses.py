"""Stages by hand: what a stage's water carries away, what it makes of steam, how the wall recovers.

Rule of this file: sums on the back of an envelope, to see whether a prediction is of the right order. The
host stands at the temperature at which the batch entered the stage, and water runs as when nothing boils.

* Water on average: w = W t_open / (t_open + t_shut).
* At least, if none of it boils: w c (T - T_in) (1 - exp(-UA/(w c))), an exchanger on a body of one
  temperature (Incropera and DeWitt, 6th ed., equation 11.35a, C_r = 0); T is that of the host, but no higher
  than boiling T_b at the outlet's pressure.
* At most, if all of it boils that can: w e, e = c (T_b - T_in) + h_fg, but no more than the host gives to a
  wall at boiling, UA (T_host - T_b).
* A dose takes its heat from the wall first: it falls by at most heat of a dose / (m c). In a pause the share
  1 - exp(-t UA/(m c)) of it comes back (lumped capacitance, Incropera equation 5.6). The wall is that of a
  prediction, as deep as a dose is felt (plant.grid.layer).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from attrs import frozen

from steadfall.plan.meaning.boiling import boils_at
from steadfall.plan.meaning.metal import wall_mass
from steadfall.plan.model import CircuitType, Dose, Share, Stage
from steadfall.plan.model.sequence import Action, Pulses
from steadfall.plant.grid.host import hosts
from steadfall.plant.grid.layer import with_layers
from steadfall.plant.law.properties import C_L, heat_of_evaporation
from steadfall.quantities import WALL_HEAT
from steadfall.size import iec
from steadfall.size.fluid import steam
from steadfall.size.need import duty, waters
from steadfall.size.rows.outlets import cap
from steadfall.size.works import Inlet, Works

FIRST = 60.0  # s of a stage over which a prediction's heat is averaged


@frozen
class Metal:
    """What a circuit's heat goes through: W/K from wall to host, and J/K of the wall."""

    conductance: float
    capacity: float


@frozen
class ByDose:
    """A dose: kg, the time in s that the outlet takes to pass it as steam and the time until the next, K that
    the wall falls at most, and the share of it that comes back in the pause.
    """

    mass: float
    clears: float | None  # None: the host is below boiling
    period: float
    dip: float
    back: float


@frozen
class ByHand:
    """A water valve in a stage, on average: host in K, water in kg/s, heat in W, steam in kg/s."""

    circuit: str
    stage: str
    valve: str
    host: float  # as the batch entered the stage
    water: float
    least: float  # heat if nothing boils
    most: float  # if all boils that can
    predicted: float  # the batch's in the first minute of the stage
    steam: float  # at most
    passes: float  # steam that the outlet passes at the pressure to stay below
    dose: ByDose | None


def by_hand(found: Works) -> tuple[ByHand, ...]:
    """Every water valve in every stage that the batch entered, of the first circuit of each type."""
    return tuple(row for kind, circuits in found.kinds() for row in _of_circuit(found, kind, circuits))


def _of_circuit(found: Works, kind: CircuitType, circuits: tuple[str, ...]) -> Iterator[ByHand]:
    plan, circuit = found.plan, circuits[0]
    highest, back = cap(plan, kind, circuits).pressure, kind.outlet.pressure
    passes = iec.gas_through(kind.outlet.kv, highest, back, steam(highest)) if highest > back else 0.0
    laid = with_layers(plan).circuit_types[kind.name].path
    capacity = wall_mass(plan, laid) * plan.materials[laid.material].heat_capacity
    metal = Metal(hosts(plan).conductance[circuit], capacity)
    inlets = {one.drawn.valve.name: one for one in found.inlets_of(kind)}
    for stage in kind.stages:
        entered = _entered(found, circuit, stage)
        for name in waters(plan, kind, stage) if entered is not None else ():
            yield _row(found, (circuit, stage, entered or 0.0), inlets[name], metal, passes)


def _row(found: Works, at: tuple[str, Stage, float], one: Inlet, metal: Metal, passes: float) -> ByHand:
    (circuit, stage, entered), name = at, one.drawn.valve.name
    action = stage.actions[name]
    host = _mean(found, found.plan.circuits[circuit].host, entered, 0.0)
    water, cold = one.stream.flow * duty(action), one.drawn.supply.temperature
    boiling = boils_at(one.drawn.kind.outlet.pressure)
    each = C_L * max(boiling - cold, 0.0) + heat_of_evaporation(boiling)
    least, most = carried(water, (cold, host, boiling), metal.conductance, each)
    made = most / each if host > boiling else 0.0
    return ByHand(
        circuit=circuit,
        stage=stage.name,
        valve=name,
        host=host,
        water=water,
        least=0.0 if isinstance(action, Share) else least,
        most=most,
        predicted=_mean(found, WALL_HEAT.named(circuit), entered, FIRST),
        steam=made,
        passes=passes,
        dose=_dose(one.stream.flow, action, metal, (most, passes if host > boiling else math.inf)),
    )


def carried(
    water: float, temperatures: tuple[float, float, float], conductance: float, each: float
) -> tuple[float, float]:
    """W that so much water (kg/s) carries at least and at most; temperatures of water, host, boiling in K,
    J that a kilogram carries when it boils.

    >>> [round(watt) for watt in carried(0.001, (293.15, 473.15, 373.15), 1000.0, 2.6e6)]
    [338, 2600]
    """
    cold, host, boiling = temperatures
    if water <= 0.0:
        return 0.0, 0.0
    reach = -math.expm1(-conductance / (water * C_L))
    least = water * C_L * max(min(host, boiling) - cold, 0.0) * reach
    return least, max(least, min(water * each, conductance * (host - boiling)))


def _dose(flow: float, action: Action, metal: Metal, heat_and_passes: tuple[float, float]) -> ByDose | None:
    """What a dose comes to in the long run; None where the valve is not dosed then, or nothing flows."""
    (heat, passes), pulses = heat_and_passes, _pulses(action)
    if pulses is None or flow <= 0.0:
        return None
    opened, shut = pulses
    mass, period = flow * opened, opened + shut
    back = -math.expm1(-shut * metal.conductance / metal.capacity)
    clears = mass / passes if 0.0 < passes < math.inf else None
    return ByDose(mass, clears, period, heat * period / metal.capacity, back)


def _pulses(action: Action) -> tuple[float, float] | None:
    if not isinstance(action, Dose) or (action.for_ms is not None and not isinstance(action.then, Pulses)):
        return None
    pulses = action.then if isinstance(action.then, Pulses) else action
    return pulses.open_ms / 1000, pulses.shut_ms / 1000


def _entered(found: Works, circuit: str, stage: Stage) -> float | None:
    """When the batch first entered the stage, in s."""
    all_of_it = (m for m in found.batch.moments if (m.circuit, m.stage) == (circuit, stage.name))
    return next((moment.time_ms / 1000 for moment in all_of_it), None)


def _mean(found: Works, signal: str, start: float, lasting: float) -> float:
    """The mean of a signal of the batch over some time; at one moment the next record."""
    times, values = found.batch.arrays(signal)
    first = min(int(times.searchsorted(start)), len(values) - 1)
    last = max(first + 1, int(times.searchsorted(start + lasting)))
    return float(values[first:last].mean())
