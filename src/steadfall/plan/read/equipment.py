"""Rows of the plan to what stands in the works.

Rule of this file: it turns rows into data and reports only what keeps a row from being data;
`plan.check.equipment` judges the rest.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.constants import ATMOSPHERE
from steadfall.plan.keys.row import Row
from steadfall.plan.model.equipment import (
    Bank,
    Body,
    Drilled,
    Feedback,
    Fins,
    GasStream,
    Heating,
    Inner,
    Insulation,
    Jacket,
    Line,
    Link,
    Material,
    Outlet,
    Path,
    Relief,
    Shell,
    Supply,
    Valve,
)
from steadfall.plan.problems import UNREAD, Problems, did_you_mean, listed, short


def supply(name: str, row: Row, known: Mapping[str, Material], problems: Problems) -> Supply:
    """A supply."""
    pipe = line(row["line"], known, problems)
    return Supply(name, row["fluid"], row["pressure"], row["temperature"], pipe, row["kv"], at=row.at)


def line(row: Row | None, known: Mapping[str, Material], problems: Problems) -> Line | None:
    """The pipe from a header to a valve, where it is given."""
    if row is None:
        return None
    _material(row, known, problems)
    measures = (row["length"], row["bore"], row["wall"], row["material"], row["rated"], row["elevation"])
    return Line(*measures, at=row.at)


def material(name: str, row: Row) -> Material:
    """A solid of the plan's own."""
    stress = (row["expansion"], row["youngs_modulus"], row["poisson"])
    thermal = (row["density"], row["heat_capacity"], row["conductivity"])
    return Material(name, *thermal, *stress, row["allowable"], at=row.at)


def body(name: str, row: Row, known: Mapping[str, Material], problems: Problems) -> Body:
    """A body, with the heat capacity of its material or its own."""
    heat_capacity = _one_of(row, ("material", "heat_capacity"), problems)
    if heat_capacity == "material":
        capacity = _material(row, known, problems).heat_capacity
    else:
        capacity = row["heat_capacity"] if heat_capacity else UNREAD
    density = known[row["material"]].density if row["material"] in known else None
    inner = _inner(row["inner"], density, problems) if row["inner"] is not None else None
    shell = _shell(row["shell"])
    if shell is not None and shell.inside is not None:
        read = "a body has no gas inside"
        problems.add(row["shell"].at.of("key inside"), "unused-key", "inside", read, "no `inside`")
    return Body(name, row["mass"], capacity, row["start"], inner, _heating(row["heating"]), shell, at=row.at)


def _material(row: Row, known: Mapping[str, Material], problems: Problems) -> Material:
    name = row["material"]
    if name in known:
        return known[name]
    if name:
        read = f"'{short(name)}' is no known material{did_you_mean(name, known)}"
        problems.add(row.at.of("material"), "unknown-name", "material", read, listed(sorted(known), 20))
    return Material(name, UNREAD, UNREAD, UNREAD, UNREAD, UNREAD, UNREAD)


def _one_of(row: Row, keys: tuple[str, ...], problems: Problems) -> str:
    """Which one of these keys the row gives; a problem where it gives several or none."""
    given = [key for key in keys if key in row.given]
    if len(given) == 1:
        return given[0]
    if row.given:
        two = keys[2:] == ()
        count = ("both" if two else "more than one") if given else ("neither" if two else "none")
        quoted = [f"'{key}'" for key in keys]
        read = f"{count} of {', '.join(quoted[:-1])} and {quoted[-1]} given"
        place = row.at.of(f"key {given[1]}") if given else row.at.own
        expected = "one of the two" if two else "one of them"
        problems.add(place, "one-of-two" if two else "one-of-many", keys[0], read, expected)
    return ""


def _inner(row: Row, density: float | None, problems: Problems) -> Inner:
    wanted = "half_thickness" if row["shape"] == "slab" else "radius"
    if row["shape"] and wanted not in row.given:
        problems.add(
            row.at.own,
            "missing-key",
            wanted,
            f"a {row['shape']} needs its {wanted}",
            "a length",
            example="12 mm",
        )
    for odd in {"half_thickness", "radius"} & row.given - {wanted}:
        if row["shape"]:
            read = f"a {row['shape']} has no {odd}"
            problems.add(row.at.of(f"key {odd}"), "unused-key", odd, read, wanted)
    size = row[wanted] if wanted in row.given else UNREAD
    return Inner(row["shape"], size, row["conductivity"], row["shells"], row["density"] or density, at=row.at)


def gas_stream(name: str, row: Row) -> GasStream:
    """A gas stream."""
    numbers = (row["pressure"], row["volume"], row["fan_flow"], row["start"])
    return GasStream(
        name, row["gas"], *numbers, _heating(row["heating"]), _shell(row["shell"]), row["leak"], at=row.at
    )


def _heating(said: Row | float | None) -> Heating | None:
    """A power alone, or a table."""
    if isinstance(said, Row):
        return Heating(said["power"], said["until"], said["time_constant"], at=said.at)
    return None if said is None else Heating(said)


def _shell(row: Row | None) -> Shell | None:
    if row is None:
        return None
    layer = row["insulation"]
    insulation = None if layer is None else Insulation(layer["thickness"], layer["conductivity"], at=layer.at)
    surface = (row["area"], row["length"], row["face"], row["emissivity"])
    return Shell(*surface, insulation, row["inside"], at=row.at)


def link(row: Row) -> Link:
    """A link between two."""
    first, second = row["between"] or ("", "")
    return Link((first, second), row["conductance"], at=row.at)


def path(row: Row, known: Mapping[str, Material], problems: Problems) -> Path:
    """The cooling channel."""
    _material(row, known, problems)
    said = _one_of(row, ("host_conductance", "drilled", "jacket", "bank"), problems)
    number = row["host_conductance"] if said == "host_conductance" else None
    return Path(
        row["bore"],
        row["length"],
        row["passes"],
        row["wall"],
        row["material"],
        number if said else UNREAD,
        row["bends"],
        row["roughness"],
        row["allowable"],
        _drilled(row["drilled"]) if said == "drilled" else None,
        _bank(row["bank"], known, problems) if said == "bank" else None,
        _jacket(row["jacket"]) if said == "jacket" else None,
        at=row.at,
    )


def _drilled(row: Row) -> Drilled:
    return Drilled(row["spacing"], row["depth"], at=row.at)


def _jacket(row: Row) -> Jacket:
    return Jacket(row["area"], row["thickness"], row["radius"], at=row.at)


def _bank(row: Row, known: Mapping[str, Material], problems: Problems) -> Bank:
    fins = None if row["fins"] is None else _fins(row["fins"], known, problems)
    pitches = (row["pitch_across"], row["pitch_along"])
    return Bank(row["rows"], row["across"], *pitches, row["arrangement"], fins, at=row.at)


def _fins(row: Row, known: Mapping[str, Material], problems: Problems) -> Fins:
    said = _one_of(row, ("material", "conductivity"), problems)
    conductivity = row["conductivity"] if said == "conductivity" else UNREAD
    if said == "material":
        conductivity = _material(row, known, problems).conductivity
    return Fins(row["pitch"], row["height"], row["thickness"], conductivity, at=row.at)


def outlet(row: Row) -> Outlet:
    """What the circuit discharges through."""
    return Outlet(row["kv"], ATMOSPHERE if row["to"] == "atmosphere" else row["to"], at=row.at)


def relief(row: Row | None) -> Relief | None:
    """The relief valve, where there is one."""
    return None if row is None else Relief(row["opens_at"], row["kv"], at=row.at)


def valve(name: str, row: Row, known: Mapping[str, Material], problems: Problems) -> Valve:
    """A valve, of a supply or of the outlet's bypass."""
    lets_in = _one_of(row, ("supply", "opens"), problems) != "opens"
    feedback = row["feedback"]
    return Valve(
        name,
        (row["supply"] or "") if lets_in else None,
        row["kv"],
        row["travel"],
        row["shortest_open"],
        row["shortest_shut"],
        row["rest"],
        row["life"],
        None if feedback is None else Feedback(feedback["input"], feedback["within"], at=feedback.at),
        line(row["line"], known, problems),
        at=row.at,
    )
