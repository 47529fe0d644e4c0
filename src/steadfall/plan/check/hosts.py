"""Judges the holes, jackets and tube banks by which a circuit meets its host, and whose metal its wall is.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.plan.keys.numbers import tolerances
from steadfall.plan.meaning.metal import EXPONENT, touched_mass, walls_in
from steadfall.plan.meaning.way import can_be_followed
from steadfall.plan.model import Plan
from steadfall.plan.model.equipment import Bank, Path
from steadfall.plan.problems import Problems
from steadfall.units import shown

# What the circuits of a body touch, by whether it has an inner resistance, and whether it is cut into parts.
TOUCHED = {
    (False, False): "it",
    (True, False): "its outer shell",
    (False, True): "each of its parts",
    (True, True): "the outer shell of each of its parts",
}


def holes_lie_apart(plan: Plan, problems: Problems) -> None:
    """Drilled holes, with the layer that belongs to each, neither touch each other nor break through the
    face.
    """
    for kind in plan.circuit_types.values():
        holes, size = kind.path.drilled, outer(kind.path)
        if holes is None:
            continue
        for key, value, least in (("spacing", holes.spacing, size), ("depth", holes.depth, size / 2)):
            if value <= least:
                read = f"{shown(value, 'length')} leaves no metal outside the channels and their walls"
                problems.add(holes.at.of(key), "no-room", key, read, f"more than {shown(least, 'length')}")


def jackets_have_a_middle(plan: Plan, problems: Problems) -> None:
    """The metal under a round jacket is no thicker than its radius."""
    for kind in plan.circuit_types.values():
        jacket = kind.path.jacket
        if jacket is not None and jacket.radius is not None and jacket.thickness >= jacket.radius:
            read = f"{shown(jacket.thickness, 'length')} reaches the axis"
            wanted = f"less than {shown(jacket.radius, 'length')}"
            problems.add(jacket.at.of("thickness"), "no-room", "thickness", read, wanted)


def tubes_lie_apart(plan: Plan, problems: Problems) -> None:
    """The tubes of a bank and their fins do not touch, and fins are thinner than their pitch."""
    for kind in plan.circuit_types.values():
        if kind.path.bank is not None:
            _tubes(kind.path, kind.path.bank, problems)


def _tubes(path: Path, bank: Bank, problems: Problems) -> None:
    fins = bank.fins
    if fins is not None and fins.thickness >= fins.pitch:
        read = f"{shown(fins.thickness, 'length')} leaves no gap between fins"
        problems.add(
            fins.at.of("thickness"), "no-room", "thickness", read, f"less than {shown(fins.pitch, 'length')}"
        )
    size = outer(path) + (2 * fins.height if fins else 0.0)
    keys = ["pitch_across"] if bank.arrangement == "staggered" else ["pitch_across", "pitch_along"]
    for key in keys:
        if getattr(bank, key) <= size:
            read = f"{shown(getattr(bank, key), 'length')} leaves no gap between tubes"
            problems.add(bank.at.of(key), "no-room", key, read, f"more than {shown(size, 'length')}")
    if bank.arrangement == "staggered" and bank.pitch_along**2 + (bank.pitch_across / 2) ** 2 <= size**2:
        read = f"{shown(bank.pitch_along, 'length')} leaves no gap between tubes of neighbouring rows"
        problems.add(bank.at.of("pitch_along"), "no-room", "pitch_along", read, "a greater pitch")


def geometry_fits_host(plan: Plan, problems: Problems) -> None:
    """Holes are drilled in a body and a jacket lies on one, a tube bank stands in a gas stream."""
    for circuit in plan.circuits.values():
        kind = plan.circuit_types.get(circuit.type)
        if kind is None:
            continue
        solid = kind.path.drilled or kind.path.jacket
        if solid is not None and circuit.host in plan.gas_streams:
            what = "no holes can be drilled in it" if kind.path.drilled else "no jacket can lie on it"
            read = f"'{circuit.host}' is a gas stream, and {what}"
            problems.add(circuit.at.of("host"), "wrong-host", "host", read, "a body, or a path with `bank`")
        if kind.path.bank is not None and circuit.host in plan.bodies:
            read = f"'{circuit.host}' is a body, and no gas blows across a tube bank in it"
            problems.add(
                circuit.at.of("host"),
                "wrong-host",
                "host",
                read,
                "a gas stream, or a path with `drilled` or `jacket`",
            )


def walls_leave_metal(plan: Plan, problems: Problems) -> None:
    """A body is heavier than the walls of its circuits, which are part of it, at the low end of its tolerance
    too.
    """
    known = tolerances(plan)
    off = {known[one.of].place: one.value for one in plan.tolerances if one.of in known and one.relative}
    cooled = {circuit.host for circuit in plan.circuits.values()}
    for name, body in plan.bodies.items():
        if name not in cooled or not _complete(plan, name):
            continue
        touched = touched_mass(body) * (1.0 - off.get(("bodies", name, "mass"), 0.0))
        walls = max(walls_in(plan, name))
        if touched <= walls:
            what = TOUCHED[body.inner is not None, body.segments is not None]
            read = (
                f"{what} has {shown(touched, 'mass')}, no more than the walls of its circuits with "
                f"{shown(walls, 'mass')}"
            )
            expected = (
                f"more than {shown(walls, 'mass')}, or a path with `wall_mass: on_top` where its walls "
                "are not in the mass of the body"
            )
            problems.add(body.at.of("mass"), "walls-outweigh", "mass", read, expected)


def _complete(plan: Plan, body: str) -> bool:
    """Whether everything that the mass of a body's walls follows from could be read."""
    thing = plan.bodies[body]
    kinds = [plan.circuit_types.get(one.type) for one in plan.circuits.values() if one.host == body]
    return (thing.inner is None or thing.inner.shape in EXPONENT) and all(
        kind is not None and kind.path.material in plan.materials and can_be_followed(kind.path, thing.parts)
        for kind in kinds
    )


def outer(path: Path) -> float:
    """Outer diameter of the channel with its wall."""
    return path.bore + 2 * path.wall


OF_PLANT: tuple[Callable[[Plan, Problems], None], ...] = (
    holes_lie_apart,
    jackets_have_a_middle,
    tubes_lie_apart,
    geometry_fits_host,
    walls_leave_metal,
)
