"""The plan's bodies, gas streams and links as nodes of a thermal network.

A lumped body is one node. The walls of its circuits are part of its mass (`plan.meaning.metal`) and have
shells of their own (`grid.path`), so the node is the metal outside them. A body with an inner resistance is a
surface without capacity and shells of equal thickness behind it, with the conductance k A / distance between
their mid-planes, A at the boundary between them (finite volumes, Patankar, Numerical Heat Transfer and Fluid
Flow, 1980, chapter 4); its circuits and their walls are in the outer shell. With m and rho the body's mass
and density, a slab cooled on both faces has the surface m / (rho L), a cylinder 2 m / (rho R), a sphere 3 m /
(rho R).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np
from attrs import field, frozen

from steadfall.constants import R_AIR, R_NITROGEN
from steadfall.plan.meaning.metal import EXPONENT, shell_shares, touched_mass, walls_in
from steadfall.plan.model import Body, GasStream, Inner, Plan, Shell
from steadfall.plant import fields as f
from steadfall.plant.state import Reals

AMBIENT = "ambient"
WATER_DENSITY = 1000.0  # kg/m3, taken when an inner resistance gives none
# specific gas constant and heat capacity, J/kg/K (the latter: Cengel and Boles, Thermodynamics, table A-2, at
# 300-400 K)
GAS = {"air": (R_AIR, 1010.0), "nitrogen": (R_NITROGEN, 1042.0)}
FACES = {"upright": f.UPRIGHT, "up": f.UP, "down": f.DOWN}
LEAST_SHARE = 0.02  # of the mass that circuits touch, left outside their walls in a body that is too light


@frozen
class Nodes:
    """The network before gas streams are spread over it."""

    capacity: Reals
    start: Reals
    links: Reals
    surface: Mapping[str, int]  # node that links of a body or gas stream end on
    host: Mapping[str, int]  # node that a circuit of it cools
    skin: Mapping[str, float]  # W/K from that node to the surface (infinite for a lump)
    first: Mapping[str, int]  # first shell of a body
    count: Mapping[str, int]
    stream_links: Reals
    losses: tuple[tuple[int, tuple[float, ...]], ...]  # node, row of `Constants.loss`
    heaters: tuple[tuple[int, tuple[float, ...]], ...]  # node, row of `Constants.heater`
    notes: tuple[str, ...] = field(default=())


def shell_network(body: Body, inner: Inner) -> tuple[Reals, Reals]:
    """Capacities (J/K) of the shells from the surface inwards; conductances (W/K) from the surface to each in
    turn.
    """
    power, size, n = EXPONENT[inner.shape], inner.size, inner.shells
    volume = body.mass / (inner.density or WATER_DENSITY)
    edges = np.linspace(size, 0.0, n + 1)
    area = (power + 1) * volume / size * (edges / size) ** power
    thickness = size / n
    links = inner.conductivity * area[:-1] / thickness
    links[0] = skin_conductance(inner, power, volume)
    return body.mass * body.heat_capacity * np.array(shell_shares(inner)), links


def metal_outside_walls(plan: Plan, body: Body) -> tuple[float, list[str]]:
    """The share of the mass that its circuits touch which is not their walls, and what had to be assumed."""
    walls, touched = walls_in(plan, body.name), touched_mass(body)
    if walls < (1.0 - LEAST_SHARE) * touched:
        return 1.0 - walls / touched, []
    note = (
        f"{body.name}: no heavier than the walls of its circuits; {LEAST_SHARE:.0%} of it taken outside them"
    )
    return LEAST_SHARE, [note]


def skin_conductance(inner: Inner, power: int, volume: float) -> float:
    """Conductance (W/K) from the surface to the middle of the first shell: exact for steady conduction."""
    size = inner.size
    middle = size * (1.0 - 0.5 / inner.shells)
    area = (power + 1) * volume / size
    path = {0: size - middle, 1: size * np.log(size / middle), 2: size * (size / middle - 1.0)}[power]
    return float(inner.conductivity * area / path)


def lay_nodes(plan: Plan) -> Nodes:
    """Number the nodes, link them, and note what had to be assumed."""
    capacity: list[float] = []
    start: list[float] = []
    pairs: list[tuple[int, int, float]] = []
    surface: dict[str, int] = {}
    host: dict[str, int] = {}
    skin: dict[str, float] = {}
    first: dict[str, int] = {}
    count: dict[str, int] = {}
    notes = []
    for name, body in plan.bodies.items():
        here = len(capacity)
        if body.inner is None:
            shells, between = np.array([body.mass * body.heat_capacity]), np.array([])
        else:
            shells, between = shell_network(body, body.inner)
            if body.inner.density is None:
                notes.append(f"{name}: no density given for its inner resistance; 1000 kg/m3 taken")
        outside, told = metal_outside_walls(plan, body)
        shells[0] *= outside
        notes += told
        first[name], count[name] = here, len(shells)
        capacity += [float(c) for c in shells]
        start += [body.start] * len(shells)
        pairs += [(here + k - 1, here + k, float(between[k])) for k in range(1, len(shells))]
        host[name], skin[name] = here, float("inf")
        if body.inner is not None:
            surface[name] = len(capacity)
            skin[name] = float(between[0])
            pairs.append((surface[name], here, skin[name]))
            capacity.append(0.0)
            start.append(body.start)
        else:
            surface[name] = here
    for name, stream in plan.gas_streams.items():
        surface[name] = host[name] = len(capacity)
        skin[name] = float("inf")
        capacity.append(gas_capacity(stream))
        start.append(stream.start)
    links, stream_links = _linked(plan, pairs, surface, len(capacity))
    around = lay_losses(plan, surface), lay_heaters(plan, host, count, capacity)
    ends = surface, host, skin, first, count
    return Nodes(np.array(capacity), np.array(start), links, *ends, stream_links, *around, tuple(notes))


def _things(plan: Plan) -> Iterator[tuple[str, Body | GasStream]]:
    yield from plan.bodies.items()
    yield from plan.gas_streams.items()


def lay_losses(plan: Plan, surface: Mapping[str, int]) -> tuple[tuple[int, tuple[float, ...]], ...]:
    """What loses heat to ambient by a surface or a leak, at the node that its links end on."""
    found = []
    for name, thing in _things(plan):
        leak = leak_capacity(thing) if isinstance(thing, GasStream) else 0.0
        if thing.shell is not None or leak > 0.0:
            found.append((surface[name], _loss(thing.shell, leak)))
    return tuple(found)


def _loss(shell: Shell | None, leak: float) -> tuple[float, ...]:
    if shell is None:
        return (0.0, 1.0, float(f.UPRIGHT), 0.0, 0.0, leak)
    layer = shell.insulation
    cover = (layer.thickness / layer.conductivity if layer else 0.0) + (
        1.0 / shell.inside if shell.inside else 0.0
    )
    return (shell.area, shell.length, float(FACES[shell.face]), shell.emissivity, cover, leak)


def lay_heaters(
    plan: Plan, host: Mapping[str, int], count: Mapping[str, int], capacity: list[float]
) -> tuple[tuple[int, tuple[float, ...]], ...]:
    """Heating that stays on, spread over a body's shells by their heat capacity."""
    found = []
    for name, thing in _things(plan):
        heating = thing.heating
        if heating is None:
            continue
        mine = range(host[name], host[name] + count.get(name, 1))
        total = sum(capacity[i] for i in mine)
        end = math.inf if heating.until is None else heating.until
        decay = 0.0 if heating.time_constant is None else 1.0 / heating.time_constant
        found += [(i, (heating.power * capacity[i] / total, end, decay)) for i in mine]
    return tuple(found)


def _linked(
    plan: Plan, pairs: list[tuple[int, int, float]], surface: Mapping[str, int], n: int
) -> tuple[Reals, Reals]:
    """The matrix of plain conductances, and for each gas stream what hangs in it."""
    place = {**surface, AMBIENT: n}
    links = np.zeros((n + 1, n + 1))
    streams = list(plan.gas_streams)
    stream_links = np.zeros((len(streams), n + 1))
    for link in plan.links:
        one, other = link.between
        in_gas = [name for name in link.between if name in streams]
        if len(in_gas) == 1:
            far = other if one == in_gas[0] else one
            stream_links[streams.index(in_gas[0]), place[far]] += link.conductance
        else:
            pairs.append((place[one], place[other], link.conductance))
    for i, j, conductance in pairs:
        links[i, j] += conductance
        links[j, i] += conductance
    return links, stream_links


def gas_capacity(stream: GasStream) -> float:
    """J/K of the gas in a stream's volume at its start: p V c_p / (R T)."""
    gas_constant, heat_capacity = GAS[stream.gas]
    return stream.pressure * stream.volume * heat_capacity / (gas_constant * stream.start)


def fan_capacity(stream: GasStream) -> float:
    """The fan's heat capacity flow times the gas temperature (W): p V' c_p / R; a fan moves volume, not
    mass.
    """
    gas_constant, heat_capacity = GAS[stream.gas]
    return stream.pressure * stream.fan_flow * heat_capacity / gas_constant


def leak_capacity(stream: GasStream) -> float:
    """Heat capacity flow that a leak exchanges with ambient times the gas temperature (W): p V' c_p / R."""
    gas_constant, heat_capacity = GAS[stream.gas]
    return stream.pressure * (stream.leak or 0.0) * heat_capacity / gas_constant
