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
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from attrs import define, field, frozen

from steadfall.constants import R_AIR, R_NITROGEN
from steadfall.plan.meaning.metal import EXPONENT, shell_shares, touched_mass, walls_in
from steadfall.plan.meaning.names import segment
from steadfall.plan.meaning.way import cooled_share, pair_shares
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
class Placed:
    """Where the nodes of a body, of one part of it, or of a gas stream stand.

    They stand part by part, each from its outer shell inwards.
    """

    first: int
    surfaces: tuple[int, ...]  # node of each part that links end on
    shells: int = 1  # of each part
    skin: float = math.inf  # W/K from the outer shells to the surfaces, all parts together

    @property
    def parts(self) -> int:
        """How many parts there are."""
        return len(self.surfaces)

    @property
    def count(self) -> int:
        """How many nodes with a capacity."""
        return self.parts * self.shells


@frozen
class Nodes:
    """The network before gas streams are spread over it."""

    capacity: Reals
    start: Reals
    links: Reals
    placed: Mapping[str, Placed]  # bodies, the parts of a body in segments, gas streams
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


def metal_outside_walls(plan: Plan, body: Body) -> tuple[Reals, list[str]]:
    """The share of the mass of each part that its circuits touch which is not their walls, and what had to be
    assumed.
    """
    touched = touched_mass(body)
    outside = 1.0 - np.array(walls_in(plan, body.name)) / touched
    if outside.min() > LEAST_SHARE:
        return outside, []
    note = (
        f"{body.name}: no heavier than the walls of its circuits; {LEAST_SHARE:.0%} of it taken outside them"
    )
    return np.maximum(outside, LEAST_SHARE), [note]


def skin_conductance(inner: Inner, power: int, volume: float) -> float:
    """Conductance (W/K) from the surface to the middle of the first shell: exact for steady conduction."""
    size = inner.size
    middle = size * (1.0 - 0.5 / inner.shells)
    area = (power + 1) * volume / size
    path = {0: size - middle, 1: size * np.log(size / middle), 2: size * (size / middle - 1.0)}[power]
    return float(inner.conductivity * area / path)


@define
class _Network:
    """The nodes and conductances laid so far."""

    capacity: list[float] = field(factory=list)
    start: list[float] = field(factory=list)
    pairs: list[tuple[int, int, float]] = field(factory=list)
    placed: dict[str, Placed] = field(factory=dict)
    notes: list[str] = field(factory=list)

    def add(self, capacity: Sequence[float], start: float) -> range:
        """More nodes at one temperature."""
        first = len(self.capacity)
        self.capacity += [float(one) for one in capacity]
        self.start += [start] * len(capacity)
        return range(first, len(self.capacity))


def lay_nodes(plan: Plan) -> Nodes:
    """Number the nodes, link them, and note what had to be assumed."""
    net = _Network()
    for body in plan.bodies.values():
        _lay_body(net, plan, body)
    for name, stream in plan.gas_streams.items():
        (node,) = net.add([gas_capacity(stream)], stream.start)
        net.placed[name] = Placed(node, (node,))
    links, stream_links = _linked(plan, net)
    return Nodes(
        np.array(net.capacity),
        np.array(net.start),
        links,
        net.placed,
        stream_links,
        lay_losses(plan, net.placed),
        lay_heaters(plan, net.placed, net.capacity),
        (*net.notes, *untouched_parts(plan)),
    )


def _lay_body(net: _Network, plan: Plan, body: Body) -> None:
    """The nodes of a body: part by part its shells, then the surfaces of all parts."""
    inner, parts = body.inner, body.parts
    if inner is None:
        shells, between = np.array([body.mass * body.heat_capacity]), np.array([])
    else:
        shells, between = shell_network(body, inner)
        if inner.density is None:
            net.notes.append(f"{body.name}: no density given for its inner resistance; 1000 kg/m3 taken")
    outside, told = metal_outside_walls(plan, body)
    net.notes += told
    n, first = len(shells), len(net.capacity)
    for k in range(parts):
        mine = net.add([shells[0] * outside[k] / parts, *(shells[1:] / parts)], body.start)
        net.pairs += [(mine[s - 1], mine[s], float(between[s]) / parts) for s in range(1, n)]
    surfaces, skin = tuple(range(first, first + parts)), math.inf
    if inner is not None:
        surfaces, skin = tuple(net.add([0.0] * parts, body.start)), float(between[0])
        net.pairs += [(surface, first + k * n, skin / parts) for k, surface in enumerate(surfaces)]
    net.pairs += _along(body, first, n)
    net.placed[body.name] = Placed(first, surfaces, n, skin)
    if body.segments is not None:
        for k, surface in enumerate(surfaces):
            net.placed[segment(body.name, k + 1)] = Placed(first + k * n, (surface,), n, skin / parts)


def _along(body: Body, first: int, shells: int) -> Iterator[tuple[int, int, float]]:
    """The conductances from part to part, k A / (length of a part), shell by shell as their share of the
    body.
    """
    cut = body.segments
    if cut is None:
        return
    whole = (cut.conductivity or 0.0) * cut.section * cut.count / cut.length
    shares = shell_shares(body.inner) if body.inner else (1.0,)
    for k in range(cut.count if cut.ring else cut.count - 1):
        for s, share in enumerate(shares):
            one, other = first + k * shells + s, first + (k + 1) % cut.count * shells + s
            yield one, other, whole * share


def untouched_parts(plan: Plan) -> list[str]:
    """A note for each part that no circuit of its body touches."""
    found = []
    for name, body in plan.bodies.items():
        mine = [one for one, circuit in plan.circuits.items() if circuit.host == name]
        cooled = [cooled_share(plan, one, body) for one in mine]
        for k in range(body.parts):
            if cooled and not any(shares[k] for shares in cooled):
                said = f"no circuit touches its segment {k + 1}; it cools through its neighbours"
                found.append(f"{name}: {said}")
    return found


def _things(plan: Plan) -> Iterator[tuple[str, Body | GasStream]]:
    yield from plan.bodies.items()
    yield from plan.gas_streams.items()


def lay_losses(plan: Plan, placed: Mapping[str, Placed]) -> tuple[tuple[int, tuple[float, ...]], ...]:
    """What loses heat to ambient by a surface or a leak, at the nodes that its links end on."""
    found = []
    for name, thing in _things(plan):
        leak = leak_capacity(thing) if isinstance(thing, GasStream) else 0.0
        if thing.shell is not None or leak > 0.0:
            nodes = placed[name].surfaces
            found += [(node, _loss(thing.shell, leak, 1.0 / len(nodes))) for node in nodes]
    return tuple(found)


def _loss(shell: Shell | None, leak: float, share: float) -> tuple[float, ...]:
    if shell is None:
        return (0.0, 1.0, float(f.UPRIGHT), 0.0, 0.0, leak)
    layer = shell.insulation
    cover = (layer.thickness / layer.conductivity if layer else 0.0) + (
        1.0 / shell.inside if shell.inside else 0.0
    )
    return (shell.area * share, shell.length, float(FACES[shell.face]), shell.emissivity, cover, leak)


def lay_heaters(
    plan: Plan, placed: Mapping[str, Placed], capacity: list[float]
) -> tuple[tuple[int, tuple[float, ...]], ...]:
    """Heating that stays on, spread over a body's shells by their heat capacity."""
    found = []
    for name, thing in _things(plan):
        heating = thing.heating
        if heating is None:
            continue
        mine = range(placed[name].first, placed[name].first + placed[name].count)
        total = sum(capacity[i] for i in mine)
        end = math.inf if heating.until is None else heating.until
        decay = 0.0 if heating.time_constant is None else 1.0 / heating.time_constant
        found += [(i, (heating.power * capacity[i] / total, end, decay)) for i in mine]
    return tuple(found)


def _linked(plan: Plan, net: _Network) -> tuple[Reals, Reals]:
    """The matrix of plain conductances, and for each gas stream what hangs in it; parts share their links."""
    n = len(net.capacity)
    ends = {**{name: one.surfaces for name, one in net.placed.items()}, AMBIENT: (n,)}
    links = np.zeros((n + 1, n + 1))
    streams = list(plan.gas_streams)
    stream_links = np.zeros((len(streams), n + 1))
    for link in plan.links:
        one, other = link.between
        in_gas = [name for name in link.between if name in streams]
        if len(in_gas) == 1:
            far = ends[other if one == in_gas[0] else one]
            stream_links[streams.index(in_gas[0]), list(far)] += link.conductance / len(far)
        else:
            here, there = ends[one], ends[other]
            shares = pair_shares(len(here), len(there))
            net.pairs += [(here[i], there[j], link.conductance * share) for i, j, share in shares]
    for i, j, conductance in net.pairs:
        links[i, j] += conductance
        links[j, i] += conductance
    return links, stream_links


def gas_capacity(stream: GasStream) -> float:
    """J/K of the gas in a stream's volume at its start: p V c_p / (R T)."""
    gas_constant, heat_capacity = GAS[stream.gas]
    return stream.pressure * stream.volume * heat_capacity / (gas_constant * stream.start)


def specific_heat(stream: GasStream) -> float:
    """J/kg/K of its gas."""
    return GAS[stream.gas][1]


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
