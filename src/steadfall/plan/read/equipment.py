"""What stands in the works: the fields that are more than the value of one key.

Rule of this file: each function makes the fields that `plan.read.fills` names, of the keys that its
parameters name, and reports only what keeps them from being data; `plan.check.equipment` judges the rest.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve

from steadfall.plan.keys.held import Visits
from steadfall.plan.model import Heating, Inner, Material, Order, Segments
from steadfall.plan.problems import UNREAD
from steadfall.plan.read.known import Here


def materials(*, here: Here) -> Mapping[str, Material]:
    """The built-in solids, and the plan's own over them."""
    return here.known.solids


def has_plant(*, here: Here) -> bool:
    """Whether any key of the plan speaks of a plant."""
    return here.known.given.has_plant


def heat_capacity(material: str | None, heat_capacity: float | None, *, here: Here) -> float:
    """Its own heat capacity, or that of its material."""
    if heat_capacity is not None:
        return heat_capacity
    known = here.known.solids.get(material or "")
    return known.heat_capacity if known else UNREAD


def conductivity(material: str | None, conductivity: float | None, *, here: Here) -> float:
    """Its own conductivity, or that of its material."""
    if conductivity is not None:
        return conductivity
    known = here.known.solids.get(material or "")
    return known.conductivity if known else UNREAD


def inner(inner: Inner | None, material: str | None, *, here: Here) -> Inner | None:
    """Of the density of the body's material, where it gives none of its own."""
    known = here.known.solids.get(material or "")
    if inner is None or inner.density is not None or known is None:
        return inner
    return evolve(inner, density=known.density)


def segments(segments: Segments | None, material: str | None, *, here: Here) -> Segments | None:
    """Of the conductivity of the body's material, where it gives none of its own."""
    if segments is None or segments.conductivity is not None:
        return segments
    known = here.known.solids.get(material or "")
    if material is None:
        read = "its body names no material, so nothing says how well it conducts"
        here.problems.add(
            segments.at.own, "missing-key", "segments", read, "its `conductivity`", example="45 W/m/K"
        )
    return evolve(segments, conductivity=known.conductivity if known else UNREAD)


def order(order: Order | Visits | None) -> Order | tuple[int, ...]:
    """The order of the parts in a word, or their numbers."""
    if isinstance(order, Visits):
        return tuple(int(number) for number in order.parts.text.split())
    return order or Order.OUT


def size(shape: str, half_thickness: float | None, radius: float | None, *, here: Here) -> float:
    """Half the thickness of a slab, the radius of what is round."""
    sizes = {"half_thickness": half_thickness, "radius": radius}
    wanted = "half_thickness" if shape == "slab" else "radius"
    if shape and sizes[wanted] is None:
        read = f"a {shape} needs its {wanted}"
        here.add(wanted, "missing-key", read, "a length", example="12 mm")
    for odd in sizes.keys() - {wanted}:
        if shape and sizes[odd] is not None:
            here.add(odd, "unused-key", f"a {shape} has no {odd}", wanted, at=f"key {odd}")
    found = sizes[wanted]
    return UNREAD if found is None else found


def heating(heating: float | Heating | None) -> Heating | None:
    """A power alone, or a table."""
    return Heating(heating) if isinstance(heating, float) else heating


def between(between: tuple[str, ...]) -> tuple[str, str]:
    """The two that a link joins."""
    first, second = between or ("", "")
    return first, second


def supply(supply: str | None, opens: str | None) -> str | None:
    """The supply that a valve lets in; None where it opens the outlet's bypass."""
    return None if opens and supply is None else supply or ""
