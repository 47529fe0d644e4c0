"""What joins logic and plant: which register is which input or valve command.

Every input is read in each scan, whether it measures the plant or a person or another system sets it. It
follows its quantity through a first-order lag, stops a little beyond the ends of its range, and is handed to
the controller in the unit of that range; a switch is on from its value on, and off again once the quantity
has gone back by its hysteresis.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import kernel
from steadfall.plan.meaning.handed import handed_by, shown_ends, whole_type
from steadfall.plan.model import Input, Plan
from steadfall.predict.inputs.scenario import Course, settable
from steadfall.roles import Role, of_plant, stage
from steadfall.scan.program import Program

SET = -1  # where an input that measures nothing finds its quantity


class Wiring(NamedTuple):
    """Inputs in the plan's order, changes and commands, each as arrays of one length."""

    sensor_of: NDArray[np.int64]  # index into the observed quantities, or SET
    sensor_register: NDArray[np.int64]
    sensor_switch: NDArray[np.int64]  # 0: shows a value; 1: a switch that is on at high values, -1: at low
    sensor_on: NDArray[np.float64]  # of a switch: the value, SI, at which it is on, and where it is off again
    sensor_off: NDArray[np.float64]
    sensor_closed: NDArray[np.int64]  # 1: on; mutated
    sensor_low: NDArray[np.float64]  # what it can show; between two equal ends a faulty one shows that
    sensor_high: NDArray[np.float64]
    sensor_factor: NDArray[np.float64]  # controller's value = (SI - offset) / factor
    sensor_offset: NDArray[np.float64]
    sensor_top: NDArray[np.float64]  # above 0: SI x |SI| / top in place of SI
    sensor_counts: NDArray[np.int64]  # 1: handed over as a whole number
    sensor_lag: NDArray[np.float64]
    sensor_drift: NDArray[np.float64]  # SI/s by which it moves away from its quantity; 0: a good one
    sensor_value: NDArray[np.float64]  # the lagged value, SI; mutated
    sensor_away: NDArray[np.float64]  # how far it has drifted, SI; mutated
    given: NDArray[np.float64]  # what an input that measures nothing is set to, SI; mutated
    change_ms: NDArray[np.int64]  # timed changes of set inputs, in order
    change_of: NDArray[np.int64]  # the input's place
    change_value: NDArray[np.float64]  # SI
    release_of: NDArray[np.int64]
    release_value: NDArray[np.float64]
    command_register: NDArray[np.int64]  # BOOL register of each valve, in the plant's order
    stage_register: NDArray[np.int64]  # INT register of each circuit's stage
    done_register: NDArray[np.int64]  # BOOL register of what ends the cool-down, or none


def wire(
    plan: Plan, program: Program, course: Course, valves: tuple[str, ...], observed: tuple[str, ...]
) -> Wiring:
    """Join a program to a plant for one scenario."""
    place = {name: index for index, name in enumerate(observed)}
    inputs = list(plan.inputs.values())
    at = {found.name: index for index, found in enumerate(inputs)}
    handed = [handed_by(found) for found in inputs]
    begin = {**settable(plan), **course.start}

    def register(name: str) -> int:
        return program.register(name)[1]

    def ints(values: list[int]) -> NDArray[np.int64]:
        return np.array(values, dtype=np.int64)

    def reals(values: list[float]) -> NDArray[np.float64]:
        return np.array(values, dtype=np.float64)

    return Wiring(
        sensor_of=ints([SET if found.measures is None else place[found.measures] for found in inputs]),
        sensor_register=ints([register(found.name) for found in inputs]),
        sensor_switch=ints([_sign(found) for found in inputs]),
        sensor_on=reals([found.changes.value if found.changes else 0.5 for found in inputs]),
        sensor_off=reals([found.changes.off_at if found.changes else 0.5 for found in inputs]),
        sensor_closed=ints([int(found.normal >= 0.5) for found in inputs]),
        sensor_low=reals([shown_ends(found)[0] for found in inputs]),
        sensor_high=reals([shown_ends(found)[1] for found in inputs]),
        sensor_factor=reals([how.factor for how in handed]),
        sensor_offset=reals([how.offset for how in handed]),
        sensor_top=reals([how.top for how in handed]),
        sensor_counts=ints([int(whole_type(found) is not None) for found in inputs]),
        sensor_lag=reals([found.lag for found in inputs]),
        sensor_drift=np.zeros(len(inputs)),
        sensor_value=np.full(len(inputs), np.nan),
        sensor_away=np.zeros(len(inputs)),
        given=reals([begin.get(found.name, 0.0) for found in inputs]),
        change_ms=ints([ms for ms, _, _ in course.changes]),
        change_of=ints([at[name] for _, name, _ in course.changes]),
        change_value=reals([value for _, _, value in course.changes]),
        release_of=ints([at[name] for name in course.release]),
        release_value=reals(list(course.release.values())),
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
    """Let every input follow its quantity for `dt` s and write what the controller sees."""
    for i in range(wiring.sensor_of.size):
        at = wiring.sensor_of[i]
        truth = observed[at] if at >= 0 else wiring.given[i]
        value = wiring.sensor_value[i]
        if math.isnan(value) or wiring.sensor_lag[i] <= 0.0 or at < 0:
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
        wiring.sensor_away[i] += wiring.sensor_drift[i] * dt
        kept = min(max(value + wiring.sensor_away[i], wiring.sensor_low[i]), wiring.sensor_high[i])
        if wiring.sensor_top[i] > 0.0:
            kept *= abs(kept) / wiring.sensor_top[i]
        if sign != 0:
            ints[wiring.sensor_register[i]] = 1 if kept >= 0.5 else 0
        else:
            handed = (kept - wiring.sensor_offset[i]) / wiring.sensor_factor[i]
            reals[wiring.sensor_register[i]] = np.rint(handed) if wiring.sensor_counts[i] else handed
