"""What main valves and pumps leave of a supply: the Kv that its valves share, the pressure before each.

Main valves lie in series with all else that the valves of a supply share: 1/Kv^2 = sum of 1/Kv_i^2, each at
its lift. A main valve that is shut leaves nothing. A pump that is not at speed lowers the pressure by its
share, in a straight line from standstill to speed (a closure: a curve would need the pump's own).
"""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.state import Constants, Reals, State


@lean_kernel
def behind_mains(alone: float, supply: float, constants: Constants, through: Reals) -> float:
    """The Kv that is left of a supply's shared one behind its main valves as they stand."""
    valves, left = constants.valves, alone
    for m in range(constants.first_valve[constants.first_valve.size - 1], constants.valve_kind.size):
        if constants.valve_kind[m] == f.MAIN and valves[m, f.V_SUPPLY] == supply:
            if through[m] <= 0.0 or left <= 0.0:
                return 0.0
            left = 1.0 / math.sqrt(1.0 / (left * left) + 1.0 / (through[m] * through[m]))
    return left


@lean_kernel
def without_pumps(full: float, supply: float, constants: Constants, position: Reals) -> float:
    """The pressure that is left of a supply's while its pumps are not at speed."""
    valves, left = constants.valves, full
    for m in range(constants.first_valve[constants.first_valve.size - 1], constants.valve_kind.size):
        if constants.valve_kind[m] == f.PUMP and valves[m, f.V_SUPPLY] == supply:
            left -= valves[m, f.V_P] * (1.0 - position[m])
    return left


@inlined_kernel
def feed(constants: Constants, state: State) -> None:
    """Note the Kv of each header and the pressure before each valve, as main valves and pumps stand."""
    valves, header = constants.valves, constants.header
    for h in range(header.shape[0]):
        kv, supply = header[h, f.H_KV], header[h, f.H_SUPPLY]
        state.shared[h] = behind_mains(kv, supply, constants, state.through)
    for v in range(constants.first_valve[constants.first_valve.size - 1]):
        full, supply = valves[v, f.V_P], valves[v, f.V_SUPPLY]
        state.pressure[v] = without_pumps(full, supply, constants, state.position)
        h = int(valves[v, f.V_HEADER])
        if h >= 0 and state.shared[h] <= 0.0:
            state.through[v] = 0.0
