"""One step of the whole plant.

Order of a step: valves move; every circuit takes heat from its wall and its host; the network of bodies moves
on.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.circuit import advance_circuit
from steadfall.plant.kernel.feed import feed
from steadfall.plant.kernel.losses import heat_nodes, losses_outdated
from steadfall.plant.kernel.network import advance_network, outdated, pass_coils, prepare
from steadfall.plant.kernel.supply import others_draw
from steadfall.plant.kernel.wall import prepare_walls
from steadfall.plant.state import Constants, State


@inlined_kernel
def step(constants: Constants, state: State, commands: NDArray[np.uint8], dt: float) -> None:
    """Advance the plant by dt seconds with these valve commands (1 = open); does nothing once it has
    stopped.
    """
    if state.stop[0] != f.GOING:
        return
    nodes, source = state.nodes, state.source
    stream_node, flow = constants.stream_node, state.stream_capacity
    note_closings(constants, state, commands)
    move_valves(constants, state, commands, dt)
    feed(constants, state)
    gone = outdated(stream_node, constants.stream_flow, flow, nodes, state.clock[1], dt)
    if gone or losses_outdated(constants.loss_node, state.loss, nodes, constants.ambient):
        prepare(constants, state, dt)
        prepare_walls(constants, state, dt)
    for c in range(constants.host.size):
        others_draw(
            constants.header_first,
            constants.header_valve,
            constants.valve_circuit,
            state.flow,
            c,
            state.others,
        )
        advance_circuit(c, constants, state, dt)
    to_ambient = pass_coils(stream_node, constants.stream_links, flow, nodes, source, state.after_coil)
    state.heating[0] += heat_nodes(constants.heater_node, constants.heater, source, state.clock[0], dt)
    to_ambient += advance_network(
        nodes, source, state.spread, state.inverse, constants.ambient, constants.loss_node, state.loss
    )
    state.ambient_heat[0] += to_ambient * dt
    state.clock[0] += dt


@lean_kernel
def stopped(state: State) -> bool:
    """Whether the plant has left what the model can answer for (see `notes`)."""
    return bool(state.stop[0] != f.GOING)


@lean_kernel
def drawn(
    supply: float, commands: NDArray[np.uint8], constants: Constants, state: State, every: bool
) -> float:
    """kg/s of water through the valves of a supply: all of them, or those that are told to shut in this
    step.
    """
    total = 0.0
    for v in range(commands.size):
        shuts = every or (commands[v] == 0 and state.commanded[v] != 0)
        if shuts and constants.valve_kind[v] == f.WATER and constants.valves[v, f.V_SUPPLY] == supply:
            total += state.flow[v]
    return total


@inlined_kernel
def note_closings(constants: Constants, state: State, commands: NDArray[np.uint8]) -> None:
    """Keep the greatest flow at which each water valve began to close, alone and with others of its supply;
    a main valve stops all that is drawn.
    """
    valves, kinds, position = constants.valves, constants.valve_kind, state.position
    closing, now = state.closing, state.clock[0]
    for v in range(commands.size):
        closes = commands[v] == 0 and state.commanded[v] != 0 and position[v] > valves[v, f.V_LEAST]
        if closes and (kinds[v] == f.WATER or kinds[v] == f.MAIN):
            flow = total = drawn(valves[v, f.V_SUPPLY], commands, constants, state, kinds[v] == f.MAIN)
            if kinds[v] == f.WATER:
                flow = state.flow[v]
            if flow > closing[v, f.C_FLOW]:
                closing[v, f.C_FLOW], closing[v, f.C_OPEN], closing[v, f.C_TIME] = flow, position[v], now
            if total > closing[v, f.C_ALL]:
                closing[v, f.C_ALL], closing[v, f.C_ALL_OPEN], closing[v, f.C_ALL_TIME] = (
                    total,
                    position[v],
                    now,
                )


@inlined_kernel
def move_valves(constants: Constants, state: State, commands: NDArray[np.uint8], dt: float) -> None:
    """Let every valve travel towards its command, with its line behind it, and count what it does."""
    valves, position, commanded = constants.valves, state.position, state.commanded
    for v in range(commands.size):
        travel = valves[v, f.V_TRAVEL]
        stroke = dt / travel if travel > dt else 1.0
        if commands[v] != 0:
            if commanded[v] == 0:
                state.openings[v] += 1
            state.open_time[v] += dt
        to = min(max(1.0 if commands[v] != 0 else 0.0, valves[v, f.V_LEAST]), valves[v, f.V_MOST])
        position[v] = min(position[v] + stroke, to) if position[v] <= to else max(position[v] - stroke, to)
        commanded[v] = commands[v]
        kv = valves[v, f.V_KV] * position[v]
        line = valves[v, f.V_LINE]
        state.through[v] = kv / math.sqrt(1.0 + kv * kv * line) if line > 0.0 else kv
