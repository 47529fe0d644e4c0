"""The boxes that circuits cross: bodies and gas streams, and between them what no circuit crosses.

Rule of this file: circuits of one host stand together, so that its box is one; what touches what is said in
words, since lines for it could cross.
"""

from __future__ import annotations

from collections.abc import Iterable

from attrs import frozen

from steadfall.plan.model import Body, GasStream, Plan
from steadfall.report.sketch.circuit import path_below
from steadfall.report.sketch.grid import BODY, STEP, Grid, Scene
from steadfall.report.sketch.instruments import Spot
from steadfall.report.sketch.letters import Look, whole, wrapped
from steadfall.report.sketch.parts import Area, Box, Drawn, Part, Sort, line_step, lines
from steadfall.report.sketch.pieces import stack
from steadfall.units import shown

PAD = 10.0
INSIDE = BODY - 2 * PAD


@frozen
class Group:
    """A body or gas stream with the circuits that cross it; "" where the plan names no host."""

    host: str
    circuits: tuple[str, ...] = ()


def groups(plan: Plan) -> tuple[Group, ...]:
    """Hosts in the order of their circuits; each other body after the first host that it touches."""
    hosts: dict[str, list[str]] = {}
    for name, circuit in plan.circuits.items():
        hosts.setdefault(circuit.host or "", []).append(name)
    order = list(hosts)
    loose: dict[str, list[str]] = {}
    for name in things(plan):
        if name not in hosts:
            near = next((host for host in order if host in touched(plan, name)), order[-1])
            loose.setdefault(near, []).append(name)
    return tuple(
        group
        for host in order
        for group in (Group(host, tuple(hosts[host])), *map(Group, loose.get(host, ())))
    )


def things(plan: Plan) -> dict[str, Body | GasStream]:
    """Everything that is hot."""
    return {**plan.bodies, **plan.gas_streams} if plan.has_plant else {}


def touched(plan: Plan, name: str) -> tuple[str, ...]:
    """What a body or gas stream passes heat to."""
    pairs = (link.between for link in plan.links if name in link.between) if plan.has_plant else ()
    return tuple(one for pair in pairs for one in pair if one != name)


def head(plan: Plan, group: Group) -> float:
    """The room that the words at the top of a box take."""
    names, facts = _texts(plan, group)
    return PAD + len(names) * line_step(Look.NAME) + len(facts) * line_step(Look.SMALL) + 6


def foot(of: Scene, group: Group) -> float:
    """The room that instruments in the body take at the foot of its box."""
    count = len(of.at(Spot.THING, group.host))
    return PAD + (STEP * count + 18 if count else 0.0)


def body_box(of: Scene, group: Group, grid: Grid, ends: tuple[float, float]) -> Drawn:
    """The box from top to foot, with its words and its instruments."""
    thing = things(of.plan).get(group.host)
    if thing is None:
        return Drawn()
    top, bottom = ends
    box = Box(grid.body, top, grid.after, bottom)
    sort = Sort.STREAM if group.host in of.plan.gas_streams else Sort.BODY
    names, facts = _texts(of.plan, group)
    first = top + PAD + 8
    below = first + len(names) * line_step(Look.NAME)
    words = (
        *lines(names, grid.body + PAD, first, Look.NAME),
        *lines(facts, grid.body + PAD, below),
    )
    said = f"{group.host}: {sort.value}, {', '.join(_facts(of.plan, group.host))}"
    part = Part(group.host, thing.at.own.line, said, areas=(Area(sort, box),), names=words)
    tap = grid.body + PAD + 8, bottom - foot(of, group) + 8
    return Drawn((part,)) + stack(of.sensors.get((Spot.THING, group.host), ()), tap, in_metal=True)


def line_in(of: Scene, group: Group, circuit: str) -> float:
    """The room below a circuit's line that lies within the box of its host."""
    last = circuit == group.circuits[-1]
    return path_below(of, circuit) + (foot(of, group) if last else 0.0)


def _texts(plan: Plan, group: Group) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The name, then what is known of it, in lines that fit into the box."""
    if group.host not in things(plan):
        return (), ()
    facts = wrapped(", ".join(_facts(plan, group.host)), INSIDE, Look.SMALL, 3)
    apart = [] if group.circuits else touched(plan, group.host)
    touches = wrapped(f"touches {', '.join(apart)}", INSIDE, Look.SMALL) if apart else ()
    return wrapped(group.host, INSIDE, Look.NAME), (*facts, *touches)


def _facts(plan: Plan, name: str) -> Iterable[str]:
    thing = things(plan)[name]
    if isinstance(thing, GasStream):
        yield thing.gas
        yield whole(f"fan {shown(thing.fan_flow, 'volume_flow', 3)}")
    else:
        yield whole(shown(thing.mass, "mass", 3))
        if thing.parts > 1:
            yield whole(f"{thing.parts} segments")
    yield whole(shown(thing.start, "temperature", 3))
