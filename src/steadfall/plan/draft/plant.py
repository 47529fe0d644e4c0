"""Supplies, bodies, links and circuits of a new plan, as text."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.constants import ZERO_CELSIUS
from steadfall.plan.draft.sheet import Sheet, rounded

DOSE_KV, DOSE_KV_ALONE = 3e-4, 1e-4  # m3/h for each kg that a circuit cools; where nothing lags behind it
FLOOD_KV = 1.1e-3
WARMEST = 70.0 + ZERO_CELSIUS
WELL = 0.35  # of the way from the water to the start: how warm the return water is
SIDES = ("upper", "lower")


def names(sheet: Sheet) -> tuple[str, ...]:
    """What the circuits are called."""
    count = sheet.count("circuits")
    if sheet.equipment == "press" and count == len(SIDES):
        return SIDES
    return ("cooling",) if count == 1 else tuple(f"pass_{k}" for k in range(1, count + 1))


def hosts(sheet: Sheet) -> dict[str, str]:
    """What each circuit cools."""
    if sheet.in_gas:
        return dict.fromkeys(names(sheet), "gas")
    if names(sheet) == SIDES:
        return {name: f"{name}_platen" for name in SIDES}
    return dict.fromkeys(names(sheet), "metal")


def metals(sheet: Sheet) -> tuple[str, ...]:
    """The bodies of metal."""
    return ("lining",) if sheet.in_gas else tuple(dict.fromkeys(hosts(sheet).values()))


def has_load(sheet: Sheet) -> bool:
    """Whether anything lies in it."""
    return sheet.si("load") > 0.0


def supplies(sheet: Sheet) -> Iterator[str]:
    """The mains."""
    yield "# The mains of the hall. `kv` would be the meter and strainer that all circuits share."
    yield "supplies:"
    water = f"pressure: {sheet.said('water')}, temperature"
    note = sheet.note(water="pressure", cold="temperature")
    yield f"  water: {{fluid: water, {water}: {sheet.said('cold')}}}{note}"
    if sheet.yes("hot_well"):
        warm = celsius(min(sheet.si("cold") + WELL * (sheet.si("start") - sheet.si("cold")), WARMEST))
        yield f"  warm_water: {{fluid: water, {water}: {warm}}}   # typical: all"
    if sheet.yes("air"):
        bar = max(1.0, sheet.gauge("water", 0.75))
        yield (
            f"  air: {{fluid: air, pressure: {rounded(bar)} barg, temperature: {sheet.said('hall')}}}"
            "   # typical; below the water, or it holds the water back"
        )


def celsius(kelvin: float) -> str:
    """A typical temperature."""
    return f"{round(kelvin - ZERO_CELSIUS):d} degC"


def bodies(sheet: Sheet) -> Iterator[str]:
    """Lumps of heat, and the gas between them."""
    start = sheet.said("start")
    if sheet.in_gas:
        volume = max(1.0, sheet.si("mass") / 100.0)
        bar = "0 barg" if sheet.equipment == "oven" else "6 barg"
        yield "# The gas that the fan drives over the coil, and then over what is cooled."
        yield "gas_streams:"
        yield (
            f"  gas: {{gas: air, pressure: {bar}, volume: {rounded(volume)} m3, "
            f"fan_flow: {rounded(volume / 2.7)} m3/s, start: {start}}}   # typical but for the start"
        )
        yield ""
    yield "# Lumps of heat."
    yield "bodies:"
    each = f"{rounded(sheet.si('mass') / len(metals(sheet)), 4)} kg"
    mass = sheet.said("mass") if len(metals(sheet)) == 1 else each
    for name in metals(sheet):
        note = sheet.note(mass="mass", material="material", start="start")
        yield f"  {name}: {{mass: {mass}, material: {sheet.said('material')}, start: {start}}}{note}"
    if has_load(sheet):
        note = sheet.note("heat capacity", load="mass")
        yield f"  load: {{mass: {sheet.said('load')}, heat_capacity: 1.5 kJ/kg/K, start: {start}}}{note}"


def links(sheet: Sheet) -> Iterator[str]:
    """Where heat passes."""
    rows: list[tuple[str, str, float]] = []
    area = sheet.si("mass") ** (2 / 3) / 15.0  # m2, of a lump of metal
    if sheet.in_gas:
        rows.append(("gas", "lining", 0.65 * sheet.si("mass")))
        rows += [("gas", "load", 1.2 * sheet.si("load"))] if has_load(sheet) else []
    elif has_load(sheet):
        rows += [(name, "load", 19.0 * sheet.si("load")) for name in metals(sheet)]
    rows += [(name, "ambient", 2.0 * area) for name in metals(sheet)]
    yield "# Where heat passes, in W per kelvin of difference. All of it is typical: put in yours."
    yield "links:"
    for one, other, watts in rows:
        yield f"  - {{between: [{one}, {other}], conductance: {rounded(watts)} W/K}}"


def circuit_type(sheet: Sheet) -> Iterator[str]:
    """What all circuits share: path, outlet, valves."""
    flood = FLOOD_KV * sheet.share
    yield "# One description that all circuits share."
    yield "circuit_types:"
    yield "  circuit:"
    typical = sheet.note("wall, bends", bore="bore", length="length", passes="passes")
    yield f"    path: {_path(sheet)}{typical}"
    yield "    # All that lies between the circuit and the open drain; all of it is typical."
    yield f"    outlet: {{kv: {rounded(3.5 * max(flood, 0.4))} m3/h, to: atmosphere}}"
    opens, kv = rounded(sheet.gauge("rated", 0.8)), rounded(2.2 * max(flood, 0.4))
    yield f"    relief: {{opens_at: {opens} barg, kv: {kv} m3/h}}"
    yield f"    rated: {sheet.said('rated')}{sheet.note(rated='rating')}"
    yield "    # How much the valves let through is typical: put in yours, or let `steadfall size` say."
    yield "    valves:"
    first = "warm_water" if sheet.yes("hot_well") else "water"
    yield (
        f"      mist: {{supply: {first}, kv: {rounded(_dose_kv(sheet))} m3/h, travel: 60 ms, "
        "shortest_open: 300 ms, shortest_shut: 500 ms}"
    )
    if sheet.yes("flood"):
        switch = ", feedback: {input: flood_is_open, within: 3 s}" if sheet.yes("limit_switch") else ""
        yield f"      flood: {{supply: water, kv: {rounded(flood)} m3/h, travel: 1.5 s{switch}}}"
    if sheet.yes("air"):
        yield f"      sweep: {{supply: air, kv: {rounded(0.5 * max(flood, 0.2))} m3/h, travel: 100 ms}}"
    if sheet.yes("drain"):
        yield (
            f"      drain: {{opens: outlet_bypass, kv: {rounded(3.0 * max(flood, 0.3))} m3/h, travel: 1 s, "
            "rest: open, without_signal: open}   # nothing stays in to boil"
        )


def _dose_kv(sheet: Sheet) -> float:
    lags = sheet.in_gas or sheet.equipment == "press"
    return (DOSE_KV if lags else DOSE_KV_ALONE) * sheet.share


def _path(sheet: Sheet) -> str:
    """A path in two lines: a coil in the gas, or drilled into the metal."""
    head = f"{{bore: {sheet.said('bore')}, length: {sheet.said('length')}, passes: {sheet.said('passes')}"
    if sheet.in_gas:
        watts = rounded(0.95 * sheet.share)
        return (
            f"{head}, wall: 1.5 mm, material: copper,\n           host_conductance: {watts} W/K, bends: 18}}"
        )
    bore = 1000.0 * sheet.si("bore")
    wall, spacing, depth = (f"{rounded(times * bore)} mm" for times in (0.5, 4.0, 2.3))
    return (
        f"{head}, wall: {wall}, material: {sheet.said('material')},\n"
        f"           drilled: {{spacing: {spacing}, depth: {depth}}}, bends: 8}}"
    )


def circuits(sheet: Sheet) -> Iterator[str]:
    """The circuits, each with what it cools; their doses take turns."""
    yield "circuits:"
    for k, (name, host) in enumerate(hosts(sheet).items()):
        turn = f", delay_doses: {k} s" if k else ""
        note = "     # the doses take turns" if k == 1 else ""
        yield f"  {name}: {{type: circuit, host: {host}{turn}}}{note}"
