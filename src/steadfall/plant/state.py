"""What the kernel computes with: the plant's constants and its state, as named arrays.

Rule of this file: everything that must survive from one step to the next is in `State`, so that a run cut
into chunks is bit for bit the run in one piece. The kernel mutates the arrays of `State` and never those of
`Constants`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]
Ints = NDArray[np.int64]


class Constants(NamedTuple):
    """A laid-out plant that does not change during a run."""

    capacity: Reals  # J/K of each node; a surface has none
    start: Reals  # K of each node
    ambient: float  # K
    links: Reals  # W/K, [nodes + 1, nodes + 1], symmetric; the last row is ambient
    stream_node: Ints
    stream_flow: Reals  # W: heat capacity flow of the fan = this over the gas's temperature in K
    stream_heat: Reals  # J/kg/K: heat capacity of the stream's gas
    stream_links: Reals  # W/K, [streams, nodes + 1], what hangs in the gas behind the coil
    host: Ints  # first node that each circuit cools
    host_parts: Ints  # how many nodes, one in each part of the host
    host_stride: Ints  # from each of them to the next
    host_cells: Reals  # [circuits, cells, most parts], share of a cell's wall that touches each part
    host_stream: Ints  # gas stream that each circuit cools, or -1
    host_share: Reals  # share of the stream's flow that passes this circuit
    circuit: Reals  # [circuits, GEOMETRY_FIELDS]
    shell_capacity: Reals  # J/K, [circuits, SHELLS], per cell
    shell_link: Reals  # W/K, [circuits, SHELLS - 1], per cell
    shell_even: Reals  # 1/s, [circuits, SHELLS], how fast a wet patch and the dry metal beside it even out
    mouth: Reals  # [circuits, MOUTH_FIELDS], the metal that holds the bore at its mouth
    cells_start: Reals  # [circuits, cells, CELL_FIELDS]
    valve_circuit: Ints
    valve_kind: Ints
    film: Reals  # W/K per cell, [circuits, FILM_POINTS], outer shell to gas stream over the gas's temperature
    valves: Reals  # [valves, VALVE_FIELDS]
    first_valve: Ints  # of each circuit; the next circuit's first is its end
    supply: Reals  # Pa of each supply, its pumps at speed
    header: Reals  # [headers, HEADER_FIELDS]
    header_first: Ints  # of each header in `header_valve`; the next header's first is its end
    header_valve: Ints  # the valves of the headers
    loss_node: Ints
    loss: Reals  # [losses, LOSS_FIELDS]
    heater_node: Ints
    heater: Reals  # [heaters, HEATER_FIELDS]
    boiling: Reals  # coefficients of saturation and boiling over the fourth root of pressure
    liquid: Reals  # coefficients of liquid water over temperature
    choke: Reals  # exit pressure ratio at which a discharge chokes, over ln omega and ln K
    seen: Ints  # [observed quantities, SEEN_FIELDS]


class Circuit(NamedTuple):
    """One circuit's rows of a plant's arrays."""

    cells: Reals  # [cells, CELL_FIELDS]
    work: Reals  # [cells, WORK_FIELDS]
    own: Reals  # CIRCUIT_FIELDS
    geo: Reals  # GEOMETRY_FIELDS
    wall: Reals  # WALL_FIELDS
    books: Reals  # BOOK_FIELDS
    flux: Reals  # FLUX_FIELDS


class Inlets(NamedTuple):
    """The valves of one circuit, from `first` to before `end`, and what they share with others."""

    first: int
    end: int
    kinds: Ints
    valves: Reals
    through: Reals
    flows: Reals
    pressure: Reals
    shared: Reals
    others: Reals


class Tables(NamedTuple):
    """Coefficients of water, and where a discharge chokes."""

    boiling: Reals
    liquid: Reals
    choke: Reals


class State(NamedTuple):
    """A plant at a moment."""

    nodes: Reals  # K
    source: Reals  # [2, nodes]: W into each node from circuits; K by which each node changed
    after_coil: Reals  # K, gas of each stream behind its coil
    inverse: Reals  # of the network at this step length, K/W
    spread: Reals  # W/K, the network's conductances with the streams in it
    stream_capacity: Reals  # W/K, heat capacity flow for which the network was prepared
    loss: Reals  # [losses, PREPARED_FIELDS]
    position: Reals  # of each valve, 0..1
    through: Reals  # Kv of each valve as it stands, with its line
    pressure: Reals  # Pa before each valve, as the pumps of its supply run
    shared: Reals  # m3/s at 1 bar of each header, as its main valves stand
    flow: Reals  # kg/s through each valve of a supply
    others: Reals  # kg/s that other circuits draw from each header; valid within one circuit's step
    commanded: NDArray[np.uint8]
    openings: Ints
    open_time: Reals  # s commanded open
    closing: Reals  # [valves, CLOSING_FIELDS], the hardest closing of each water valve
    cells: Reals
    work: Reals
    circuit: Reals
    books: Reals
    flux: Reals
    wall: Reals
    mouth: Reals  # [circuits, MOUTH_STATE_FIELDS]
    flags: Ints  # bits of each circuit
    flagged_at: Reals  # s, [circuits, 16], first moment of each bit
    stop: Ints  # code, circuit
    clock: Reals  # s since the start, step length prepared for
    ambient_heat: Reals  # J to ambient
    heating: Reals  # J from heating that has not been shut off
