"""What joins logic and plant: which register is which input, sensor or valve command.

Sensors read the observed quantities through a first-order lag, stop a little beyond the ends of their range,
and hand the controller the value in the unit of that range; a switch is on from its value on, and off again
once the quantity has gone back by its hysteresis. What a person sets is written at its moment.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import kernel
from steadfall.plan.model import Input, Plan
from steadfall.predict.scenario import Course
from steadfall.roles import Role, of_plant, stage
from steadfall.scan.program import Program
from steadfall.units import scale


class Wiring(NamedTuple):
    """Sensors, set inputs and commands, each as arrays of one length."""

    sensor_of: NDArray[np.int64]  # index into the observed quantities
    sensor_register: NDArray[np.int64]
    sensor_switch: NDArray[np.int64]  # 0: shows a value; 1: a switch that is on at high values, -1: at low
    sensor_on: NDArray[np.float64]  # of a switch: the value, SI, at which it is on, and where it is off again
    sensor_off: NDArray[np.float64]
    sensor_closed: NDArray[np.int64]  # 1: on; mutated
    sensor_low: NDArray[np.float64]  # what it can show; between two equal ends a faulty one shows that
    sensor_high: NDArray[np.float64]
    sensor_factor: NDArray[np.float64]  # controller's value = (SI - offset) / factor
    sensor_offset: NDArray[np.float64]
    sensor_lag: NDArray[np.float64]
    sensor_value: NDArray[np.float64]  # the lagged value, SI; mutated
    change_ms: NDArray[np.int64]  # timed changes of set inputs, in order
    change_register: NDArray[np.int64]
    change_real: NDArray[np.int64]  # 1: a REAL register
    change_value: NDArray[np.float64]  # in the controller's unit
    release_register: NDArray[np.int64]
    release_real: NDArray[np.int64]
    release_value: NDArray[np.float64]
    command_register: NDArray[np.int64]  # BOOL register of each valve, in the plant's order
    stage_register: NDArray[np.int64]  # INT register of each circuit's stage
    done_register: NDArray[np.int64]  # BOOL register of what ends a cool-down; empty where nothing does


def seen(found: Input, value: float) -> float:
    """A value of an input in the unit in which the controller sees it."""
    if found.is_digital:
        return float(value >= 0.5)
    factor, offset = scale(found.unit, found.kind)
    low, high = found.speaks
    return (min(max(value, low), high) - offset) / factor


def wire(
    plan: Plan, program: Program, course: Course, valves: tuple[str, ...], observed: tuple[str, ...]
) -> Wiring:
    """Join a program to a plant for one scenario."""
    place = {name: index for index, name in enumerate(observed)}
    sensors = [found for found in plan.inputs.values() if found.measures is not None]
    scales = [(1.0, 0.0) if found.is_digital else scale(found.unit, found.kind) for found in sensors]
    changes = [(ms, plan.inputs[name], value) for ms, name, value in course.changes]
    release = [(plan.inputs[name], value) for name, value in course.release.items()]

    def register(name: str) -> int:
        return program.register(name)[1]

    def ints(values: list[int]) -> NDArray[np.int64]:
        return np.array(values, dtype=np.int64)

    def reals(values: list[float]) -> NDArray[np.float64]:
        return np.array(values, dtype=np.float64)

    return Wiring(
        sensor_of=ints([place[str(found.measures)] for found in sensors]),
        sensor_register=ints([register(found.name) for found in sensors]),
        sensor_switch=ints([_sign(found) for found in sensors]),
        sensor_on=reals([found.changes.value if found.changes else 0.5 for found in sensors]),
        sensor_off=reals([found.changes.off_at if found.changes else 0.5 for found in sensors]),
        sensor_closed=ints([int(found.normal >= 0.5) for found in sensors]),
        sensor_low=reals([found.speaks[0] for found in sensors]),
        sensor_high=reals([found.speaks[1] for found in sensors]),
        sensor_factor=reals([factor for factor, _ in scales]),
        sensor_offset=reals([offset for _, offset in scales]),
        sensor_lag=reals([found.lag for found in sensors]),
        sensor_value=np.full(len(sensors), np.nan),
        change_ms=ints([ms for ms, _, _ in changes]),
        change_register=ints([register(found.name) for _, found, _ in changes]),
        change_real=ints([not found.is_digital for _, found, _ in changes]),
        change_value=reals([seen(found, value) for _, found, value in changes]),
        release_register=ints([register(found.name) for found, _ in release]),
        release_real=ints([not found.is_digital for found, _ in release]),
        release_value=reals([seen(found, value) for found, value in release]),
        command_register=ints([register(valve) for valve in valves]),
        stage_register=ints([register(stage(circuit)) for circuit in plan.circuits]),
        done_register=ints([register(of_plant(Role.DONE).name)] if plan.done else []),
    )


def _sign(sensor: Input) -> int:
    if not sensor.is_digital:
        return 0
    return sensor.changes.sign if sensor.changes else 1


@kernel
def read_sensors(
    wiring: Wiring,
    observed: NDArray[np.float64],
    ints: NDArray[np.int64],
    reals: NDArray[np.float64],
    dt: float,
) -> None:
    """Let every sensor follow its quantity for `dt` s and write what the controller sees."""
    for i in range(wiring.sensor_of.size):
        truth = observed[wiring.sensor_of[i]]
        value = wiring.sensor_value[i]
        if math.isnan(value) or wiring.sensor_lag[i] <= 0.0:
            value = truth
        else:
            value += (truth - value) * (1.0 - math.exp(-dt / wiring.sensor_lag[i]))
        wiring.sensor_value[i] = value
        sign = wiring.sensor_switch[i]
        if sign != 0:
            if sign * value >= sign * wiring.sensor_on[i]:
                wiring.sensor_closed[i] = 1
            elif sign * value < sign * wiring.sensor_off[i]:
                wiring.sensor_closed[i] = 0
            value = float(wiring.sensor_closed[i])
        kept = min(max(value, wiring.sensor_low[i]), wiring.sensor_high[i])
        if sign != 0:
            ints[wiring.sensor_register[i]] = 1 if kept >= 0.5 else 0
        else:
            reals[wiring.sensor_register[i]] = (kept - wiring.sensor_offset[i]) / wiring.sensor_factor[i]


@kernel
def put(register: int, real: int, value: float, ints: NDArray[np.int64], reals: NDArray[np.float64]) -> None:
    """Write one input."""
    if real == 1:
        reals[register] = value
    else:
        ints[register] = 1 if value >= 0.5 else 0
