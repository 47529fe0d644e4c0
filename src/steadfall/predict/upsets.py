"""What goes wrong in a run: what is shown to the controller, where a valve stands, what a supply has.

Rule of this file: an upset writes into the arrays that the loop reads, between two scans; the loop itself
knows nothing of it. How bad each one is stands in one table, `SIZES`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from attrs import frozen

from steadfall.plan.meaning.handed import handed_by
from steadfall.plan.model import Plan, Valve
from steadfall.plan.model.upset import Upset, Wrong
from steadfall.plant import fields as f
from steadfall.plant.grid.bodies import fan_capacity
from steadfall.plant.grid.lines import static_head
from steadfall.plant.grid.whole import Constants, Grid
from steadfall.plant.state import State
from steadfall.predict.loop import Registers
from steadfall.predict.wiring import Wiring, read_sensors
from steadfall.roles import command


@frozen
class Sizes:
    """How far what goes wrong is off. Judgements, chosen to be plain and not rare."""

    slower: float = 5.0  # times the travel of a slow valve
    leak: float = 0.05  # of the travel that a leaking valve stands open
    half: float = 0.5  # of the outlet's Kv that is left
    blocked: float = 1e-3  # the same of a blocked one; the law of the outlet needs a little
    scale: float = 1e-3  # m of scale in the bore, but at most `of_bore` of it
    of_bore: float = 0.1
    scale_conducts: float = 2.0  # W/m/K: hard scale of lime and gypsum, 0.5 .. 3 (common practice)
    still: float = 0.02  # of the fan's flow that is left where it has stopped: free convection
    drift: float = 0.1 / 600.0  # 1/s of a sensor's range: a tenth of it in 10 min


SIZES = Sizes()


@frozen(eq=False)
class Rig:
    """What an upset can reach in a run; the arrays are the run's own."""

    plan: Plan
    grid: Grid
    wiring: Wiring
    registers: Registers
    state: State

    @property
    def constants(self) -> Constants:
        """The plant's."""
        return self.grid.constants


def own_constants(constants: Constants) -> Constants:
    """The same with copies of what an upset may change."""
    return constants._replace(
        valves=constants.valves.copy(),
        supply=constants.supply.copy(),
        circuit=constants.circuit.copy(),
        stream_flow=constants.stream_flow.copy(),
    )


def happen(rig: Rig, upset: Upset) -> None:
    """Let it go wrong, from the next scan on."""
    _ACTS[upset.wrong](rig, upset)


def _input(rig: Rig, upset: Upset) -> int:
    """The place of an input, which has read at least once."""
    place = list(rig.plan.inputs).index(upset.of)
    if math.isnan(rig.wiring.sensor_value[place]):
        read_sensors(rig.wiring, rig.registers.observed, rig.registers.ints, rig.registers.reals, 0.0)
    return place


def _between(rig: Rig, place: int, low: float, high: float) -> None:
    rig.wiring.sensor_low[place], rig.wiring.sensor_high[place] = low, high


def _shows(rig: Rig, upset: Upset) -> None:
    low, high = rig.plan.inputs[upset.of].speaks
    shown = min(max(float(upset.value or 0.0), low), high)
    _between(rig, _input(rig, upset), shown, shown)


def _sticks(rig: Rig, upset: Upset) -> None:
    place, wiring = _input(rig, upset), rig.wiring
    register = wiring.sensor_register[place]
    if rig.plan.inputs[upset.of].is_digital:
        shown = float(rig.registers.ints[register])
    else:
        shown = float(handed_by(rig.plan.inputs[upset.of]).si(rig.registers.reals[register]))
    _between(rig, place, shown, shown)


def _drifts(sign: float) -> Callable[[Rig, Upset], None]:
    def drift(rig: Rig, upset: Upset) -> None:
        item = rig.plan.inputs[upset.of]
        rig.wiring.sensor_drift[_input(rig, upset)] = sign * SIZES.drift * (item.high - item.low)

    return drift


def _measures(rig: Rig, upset: Upset) -> None:
    place = _input(rig, upset)
    _between(rig, place, *rig.plan.inputs[upset.of].speaks)
    rig.wiring.sensor_drift[place] = rig.wiring.sensor_away[place] = 0.0


def _stands(least: float, most: float, slower: float = 1.0) -> Callable[[Rig, Upset], None]:
    def stand(rig: Rig, upset: Upset) -> None:
        row = rig.constants.valves[rig.grid.valves.index(upset.of)]
        row[f.V_LEAST], row[f.V_MOST] = least, most
        row[f.V_TRAVEL] = slower * _travel(rig.plan, upset.of)

    return stand


def _travel(plan: Plan, name: str) -> float:
    """How long a valve, or a pump, takes from one end to the other."""
    if name in plan.main_valves:
        return plan.main_valves[name].travel
    if name in plan.pumps:
        return plan.pumps[name].run_up
    return next(one.travel for valve, one in _valves(plan) if valve == name)


def _valves(plan: Plan) -> Iterator[tuple[str, Valve]]:
    for circuit in plan.circuits:
        for valve in plan.type_of(circuit).valves.values():
            yield command(circuit, valve.name).name, valve


def _outlet(share: float) -> Callable[[Rig, Upset], None]:
    def leave(rig: Rig, upset: Upset) -> None:
        row = rig.constants.circuit[rig.grid.circuits.index(upset.of)]
        row[f.OUT_KV] = share * rig.plan.type_of(upset.of).outlet.kv

    return leave


def _scaled(rig: Rig, upset: Upset) -> None:
    """Scale insulates the bore and narrows it: friction goes with the fifth power of the bore (K = f L/d in
    the velocity of the clean bore). The mouth, where the shock is worst, stays clean.
    """
    row = rig.constants.circuit[rig.grid.circuits.index(upset.of)]
    thick = min(SIZES.scale, SIZES.of_bore * row[f.BORE])
    insulates = thick / (SIZES.scale_conducts * row[f.CELL_WALL])
    row[f.R_SKIN], row[f.R_SCALE] = row[f.R_SKIN] + insulates, row[f.R_SCALE] + insulates
    row[f.K_PIPE] *= (row[f.BORE] / (row[f.BORE] - 2.0 * thick)) ** 5
    rig.state.clock[1] = 0.0  # what was worked out for a step of this length no longer holds


def _fan(share: float) -> Callable[[Rig, Upset], None]:
    def turn(rig: Rig, upset: Upset) -> None:
        stream = rig.plan.gas_streams[upset.of]
        rig.constants.stream_flow[rig.grid.gas_streams.index(upset.of)] = share * fan_capacity(stream)

    return turn


def _supply(column: int) -> Callable[[Rig, Upset], None]:
    def give(rig: Rig, upset: Upset) -> None:
        supply, value = rig.plan.supplies[upset.of], float(upset.value or 0.0)
        for row, (_, valve) in enumerate(_valves(rig.plan)):
            if valve.supply == supply.name:
                lift = static_head(supply, valve) if column == f.V_P else 0.0
                rig.constants.valves[row, column] = value - lift
        if column == f.V_P:
            rig.constants.supply[list(rig.plan.supplies).index(upset.of)] = value

    return give


_ACTS: Mapping[Wrong, Callable[[Rig, Upset], None]] = {
    Wrong.SHOWS: _shows,
    Wrong.STICKS: _sticks,
    Wrong.DRIFTS_UP: _drifts(1.0),
    Wrong.DRIFTS_DOWN: _drifts(-1.0),
    Wrong.MEASURES: _measures,
    Wrong.STUCK_OPEN: _stands(1.0, 1.0),
    Wrong.STUCK_SHUT: _stands(0.0, 0.0),
    Wrong.SLOW: _stands(0.0, 1.0, SIZES.slower),
    Wrong.LEAKS: _stands(SIZES.leak, 1.0),
    Wrong.WORKS: _stands(0.0, 1.0),
    Wrong.HALF_BLOCKED: _outlet(SIZES.half),
    Wrong.BLOCKED: _outlet(SIZES.blocked),
    Wrong.CLEAR: _outlet(1.0),
    Wrong.SCALED: _scaled,
    Wrong.FAN_STOPPED: _fan(SIZES.still),
    Wrong.FAN_RUNS: _fan(1.0),
    Wrong.PUMP_STOPPED: _stands(0.0, 0.0),
    Wrong.PUMP_RUNS: _stands(0.0, 1.0),
    Wrong.PRESSURE: _supply(f.V_P),
    Wrong.TEMPERATURE: _supply(f.V_T),
}
