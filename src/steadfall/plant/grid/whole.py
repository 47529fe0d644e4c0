"""From a plan to arrays: bodies, gas streams, circuits of cells and valves, laid out for the kernel."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from attrs import field, frozen

from steadfall.plan.meaning.feeders import feeder_named
from steadfall.plan.meaning.names import quantities
from steadfall.plan.meaning.plant import plant_side
from steadfall.plan.meaning.way import over_parts, pieces
from steadfall.plan.model import Plan, Valve
from steadfall.plant import fields as f
from steadfall.plant.damage.restraint import restraint
from steadfall.plant.damage.stress import restrained_stress
from steadfall.plant.grid.bodies import AMBIENT, Nodes, fan_capacity, lay_nodes, specific_heat
from steadfall.plant.grid.cells import sizes
from steadfall.plant.grid.feeders import feeder_kind, feeder_row
from steadfall.plant.grid.host import Hosts, hosts
from steadfall.plant.grid.layer import beyond_layers, with_layers
from steadfall.plant.grid.lines import KIND, headers, supply_notes, valve_row
from steadfall.plant.grid.metal import evening, held_by, mouth, shells
from steadfall.plant.grid.path import geometry
from steadfall.plant.grid.seen import seen
from steadfall.plant.law.discharge import choke_table
from steadfall.plant.law.properties import R_A, read_table
from steadfall.plant.state import Constants, Ints, Reals, State
from steadfall.roles import command

__all__ = ["AMBIENT", "Constants", "Grid", "State", "lay_out"]


@frozen(eq=False)
class Grid:
    """A plan laid out: what the kernel needs, and what its arrays mean."""

    constants: Constants
    valves: tuple[str, ...]  # order of the commands: valves of circuits, then main valves, then pumps
    observed: tuple[str, ...]  # order of what `observe` fills
    circuits: tuple[str, ...]
    bodies: tuple[str, ...]
    gas_streams: tuple[str, ...]
    cells: int
    step: float  # s
    notes: tuple[str, ...] = field(default=())

    def fresh(self) -> State:
        """The plant before the start: dry circuits full of air, walls as hot as their host, valves without
        signal.
        """
        return _fresh(self.constants, self.cells)


def lay_out(plan: Plan, cells: int = 20, step: float = 0.020, *, even: bool = False) -> Grid:
    """Lay a plan out in `cells` cells per circuit, to be advanced in steps of about `step` s.

    The cells are short at the mouth, or with `even` all of one length. A plan without a plant is laid out
    as nothing: no circuit, no valve, no quantity.
    """
    given = plant_side(plan)
    plan = with_layers(given)
    nodes = lay_nodes(plan)
    length = np.ones(cells) if even else sizes(cells)
    streams = list(plan.gas_streams)
    valves = [(name, valve) for name in plan.circuits for valve in plan.type_of(name).valves.values()]
    observed = tuple(quantities(plan).values())
    meets = beyond_layers(hosts(given), given, plan)
    share = _shares(plan, meets.conductance)
    parts = zip(plan.circuits, share, strict=True)
    laid = [_lay_circuit(plan, name, part, (nodes, meets), cells) for name, part in parts]
    hosted = [circuit.host for circuit in plan.circuits.values()]
    constants = Constants(
        capacity=nodes.capacity,
        start=nodes.start,
        ambient=plan.ambient,
        links=nodes.links,
        stream_node=_ints([nodes.placed[name].first for name in streams]),
        stream_flow=np.array([fan_capacity(plan.gas_streams[name]) for name in streams], dtype=np.float64),
        stream_heat=np.array([specific_heat(plan.gas_streams[name]) for name in streams], dtype=np.float64),
        stream_links=nodes.stream_links,
        host=_ints([nodes.placed[name].first for name in hosted]),
        host_parts=_ints([nodes.placed[name].parts for name in hosted]),
        host_stride=_ints([nodes.placed[name].shells for name in hosted]),
        host_cells=_host_cells(plan, nodes, length),
        host_stream=_ints([streams.index(name) if name in streams else -1 for name in hosted]),
        host_share=share,
        **_walls(laid),
        cells_start=_cells_start(laid, length),
        **_lines(plan, valves),
        loss_node=_ints([node for node, _ in nodes.losses]),
        loss=_table([row for _, row in nodes.losses], f.LOSS_FIELDS),
        heater_node=_ints([node for node, _ in nodes.heaters]),
        heater=_table([row for _, row in nodes.heaters], f.HEATER_FIELDS),
        boiling=read_table("boiling").copy(),
        liquid=read_table("liquid").copy(),
        choke=choke_table(),
        seen=seen(observed, nodes),
    )
    return Grid(
        constants=constants,
        valves=(*_commands(valves), *(feeder_named(one).name for one in plan.feeders)),
        observed=tuple(one.name for one in observed),
        circuits=tuple(plan.circuits),
        bodies=tuple(plan.bodies),
        gas_streams=tuple(streams),
        cells=cells,
        step=step,
        notes=(*nodes.notes, *meets.notes, *supply_notes(plan)),
    )


@frozen(eq=False)
class _Laid:
    """One circuit's part of the arrays."""

    geometry: Reals
    capacity: Reals
    link: Reals
    even: Reals
    mouth: Reals
    start: Reals
    film: list[float]


def _lay_circuit(plan: Plan, name: str, share: float, meets: tuple[Nodes, Hosts], cells: int) -> _Laid:
    """A circuit's channel, its wall, and how it meets its host."""
    nodes, found = meets
    kind, host = plan.type_of(name), plan.circuits[name].host
    material = plan.materials[kind.path.material]
    capacity, link, skin, outer = shells(kind.path, material, cells)
    rest = outer + cells / (nodes.placed[host].skin * share)
    outside = 1.0 / (cells / found.conductance[name] + rest)
    held = restraint(plan, name)
    stress, shares = restrained_stress(material, 1.0), held_by(kind.path, held)
    row = geometry(kind, cells, (outside, skin, plan.ambient, stress, *shares))
    metal = evening(kind.path, material), mouth(kind.path, material, held)
    film = [1.0 / (cells / value + rest) for value in found.films[name]]
    start = _cells_at_rest(row, nodes.start[nodes.placed[host].first], cells)
    return _Laid(row, capacity, link, *metal, start, film)


def _walls(laid: Sequence[_Laid]) -> dict[str, Any]:
    """What the kernel needs of each circuit's wall and of its film at the host."""
    return {
        "circuit": np.array([one.geometry for one in laid]).reshape(-1, f.GEOMETRY_FIELDS),
        "shell_capacity": np.array([one.capacity for one in laid]).reshape(-1, f.SHELLS),
        "shell_link": np.array([one.link for one in laid]).reshape(-1, f.SHELLS - 1),
        "shell_even": np.array([one.even for one in laid]).reshape(-1, f.SHELLS),
        "mouth": np.array([one.mouth for one in laid]).reshape(-1, f.MOUTH_FIELDS),
        "film": np.array([one.film for one in laid]).reshape(-1, f.FILM_POINTS),
    }


def _lines(plan: Plan, valves: Sequence[tuple[str, Valve]]) -> dict[str, Any]:
    """The valves in their order, and the headers that feed several of them."""
    shared, sharing, header_of = headers(plan, [valve for _, valve in valves])
    counts = [len(plan.type_of(name).valves) for name in plan.circuits]
    rows = [(*valve_row(plan, valve), header_of[v]) for v, (_, valve) in enumerate(valves)]
    fed = plan.feeders
    return {
        "valve_circuit": _ints(
            [*(list(plan.circuits).index(name) for name, _ in valves), *(-1 for _ in fed)]
        ),
        "valve_kind": _ints([*(_kind(plan, valve) for _, valve in valves), *map(feeder_kind, fed)]),
        "valves": _table([*rows, *(feeder_row(plan, one) for one in fed)], f.VALVE_FIELDS),
        "first_valve": _ints([0, *np.cumsum(counts)]),
        "supply": np.array([one.pressure for one in plan.supplies.values()], dtype=np.float64),
        "header": _table(shared, f.HEADER_FIELDS),
        "header_first": _ints([0, *np.cumsum([len(mine) for mine in sharing])]),
        "header_valve": _ints([v for mine in sharing for v in mine]),
    }


def _commands(valves: Sequence[tuple[str, Valve]]) -> list[str]:
    return [command(name, valve.name).name for name, valve in valves]


def _host_cells(plan: Plan, nodes: Nodes, length: Reals) -> Reals:
    """The share of each cell's wall that touches each part of its host, from the lengths of the cells."""
    hosts_of = [nodes.placed[circuit.host].parts for circuit in plan.circuits.values()]
    found = np.zeros((len(hosts_of), length.size, max(hosts_of, default=1)))
    ends = np.concatenate([[0.0], np.cumsum(length)]) / length.sum()
    for c, (name, parts) in enumerate(zip(plan.circuits, hosts_of, strict=True)):
        path = plan.type_of(name).path
        count = pieces(path, parts)
        touched = np.cumsum([(0.0,) * parts, *over_parts(path, parts, count)], axis=0) / count
        for part in range(parts):
            up_to = np.interp(ends, np.linspace(0.0, 1.0, count + 1), touched[:, part])
            found[c, :, part] = np.diff(up_to) / np.diff(ends)
    return found


def _ints(values: object) -> Ints:
    return np.array(values, dtype=np.int64)


def _table(rows: Sequence[tuple[float, ...]], fields: int) -> Reals:
    return np.array(rows, dtype=np.float64).reshape(-1, fields)


def _kind(plan: Plan, valve: Valve) -> int:
    if valve.supply is not None:
        return KIND[plan.supplies[valve.supply].fluid]
    return f.OUTLET if valve.closes_outlet else f.BYPASS


def _shares(plan: Plan, conductance: Mapping[str, float]) -> Reals:
    """Circuits in one gas stream share its flow as their conductances; a solid host is not shared."""
    total: dict[str, float] = {}
    for name, circuit in plan.circuits.items():
        total[circuit.host] = total.get(circuit.host, 0.0) + conductance[name]
    return np.array(
        [conductance[name] / total[circuit.host] for name, circuit in plan.circuits.items()], dtype=np.float64
    )


def _cells_start(laid: list[_Laid], length: Reals) -> Reals:
    """The cells of every circuit, each with its length over the mean."""
    start = np.array([one.start for one in laid]).reshape(-1, length.size, f.CELL_FIELDS)
    start[:, :, f.SIZE], start[:, :, f.PER_SIZE] = length, 1.0 / length
    return start


def _cells_at_rest(row: Reals, start: float, cells: int) -> Reals:
    """Cells of a dry circuit: air at the host's temperature and the pressure behind the outlet."""
    rest = np.zeros((cells, f.CELL_FIELDS))
    rest[:, [f.TL, f.TG, f.TS, f.SKIN]] = start
    rest[:, f.MA] = row[f.OUT_P] * row[f.CELL_VOLUME] / (R_A * start)
    rest[:, f.PC] = row[f.OUT_P]
    rest[:, f.SLIP] = rest[:, f.RP] = rest[:, f.R4] = 1.0
    rest[:, f.PATCH0 :] = start
    return rest


def _fresh(constants: Constants, cells: int) -> State:
    n, streams = constants.capacity.size, constants.stream_node.size
    circuits, valves = constants.host.size, constants.valve_kind.size
    own = np.zeros((circuits, f.CIRCUIT_FIELDS))
    for field_ in (f.P, f.P_LAST, f.PEAK):
        own[:, field_] = constants.circuit[:, f.OUT_P]
    own[:, f.K_EFF] = constants.circuit[:, f.K_PIPE]
    starts = constants.start[constants.host] if circuits else np.zeros(0)
    for field_ in (f.WALL, f.COLDEST, f.HOTTEST, f.OUTLET_T):
        own[:, field_] = starts
    at_mouth = np.zeros((circuits, f.MOUTH_STATE_FIELDS))
    at_mouth[:, f.S_SURFACE] = starts
    at_mouth[:, f.S_SHELL : f.S_ALPHA] = starts[:, None]
    return State(
        nodes=constants.start.copy(),
        source=np.zeros((2, n)),
        after_coil=constants.start[constants.stream_node].copy(),
        inverse=np.zeros((n, n)),
        spread=np.zeros((n + 1, n + 1)),
        stream_capacity=np.zeros(streams),
        loss=np.zeros((constants.loss_node.size, f.PREPARED_FIELDS)),
        position=constants.valves[:, f.V_STANDS].copy(),
        through=np.zeros(valves),
        pressure=constants.valves[:, f.V_P].copy(),
        shared=constants.header[:, f.H_KV].copy(),
        flow=np.zeros(valves),
        others=np.zeros(constants.header.shape[0]),
        commanded=constants.valves[:, f.V_STANDS].astype(np.uint8),
        openings=np.zeros(valves, dtype=np.int64),
        open_time=np.zeros(valves),
        closing=np.zeros((valves, f.CLOSING_FIELDS)),
        cells=constants.cells_start.copy(),
        work=np.zeros((cells, f.WORK_FIELDS)),
        circuit=own,
        books=np.zeros((circuits, f.BOOK_FIELDS)),
        flux=np.zeros(f.FLUX_FIELDS),
        wall=np.zeros((circuits, f.WALL_FIELDS)),
        mouth=at_mouth,
        flags=np.zeros(circuits, dtype=np.int64),
        flagged_at=np.full((circuits, 16), math.inf),
        stop=np.array([f.GOING, -1], dtype=np.int64),
        clock=np.zeros(2),
        ambient_heat=np.zeros(1),
        heating=np.zeros(1),
    )
