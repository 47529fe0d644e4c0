"""What a run did to the plant: pressure, thermal stress and water hammer against what each part is rated
for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from attrs import frozen

from steadfall.plan.model import Body, GasStream, Line, Plan, Valve
from steadfall.plant import fields as f
from steadfall.plant.damage.hammer import close
from steadfall.plant.damage.residue import steam_of
from steadfall.plant.grid.whole import Grid
from steadfall.plant.kernel.circuit import HOT_WALL
from steadfall.plant.law.properties import RHO
from steadfall.plant.state import State
from steadfall.predict.record import Record
from steadfall.predict.result import CircuitUse, Load, Note, Strain
from steadfall.quantities import CIRCUIT_PRESSURE, PRESSURE, TEMPERATURE, WALL_STRESS, clock

PULSATES_FROM = 3  # geysers of one circuit that are worth a note
RISES_FROM = 1.0  # K above its start from which a heated body is worth a note
MUCH_LEFT = 0.02  # of a full circuit: water left behind that is worth a note


@frozen
class Peak:
    """The highest value of a quantity and its moment."""

    value: float
    time_ms: int


def peak(grid: Grid, record: Record, name: str) -> Peak:
    """The highest value that a quantity had in the run."""
    at = grid.observed.index(name)
    return Peak(float(record.peak[at]), int(record.peak_ms[at]))


def strains(plan: Plan, grid: Grid, state: State, record: Record) -> tuple[Strain, ...]:
    """Circuit by circuit: peak pressure, wall stress, and the hammer of each water valve that has a line."""
    found: list[Strain] = []
    for circuit in plan.circuits:
        found.append(_pressure(plan, circuit, peak(grid, record, CIRCUIT_PRESSURE.named(circuit))))
        found.append(_stress(plan, circuit, peak(grid, record, WALL_STRESS.named(circuit))))
        found += _hammers(plan, circuit, grid, state)
    return tuple(found)


def _pressure(plan: Plan, circuit: str, found: Peak) -> Strain:
    rated = plan.type_of(circuit).rated
    return Strain(circuit, Load.PRESSURE, found.value, found.time_ms, rated, found.value <= rated, "")


def _stress(plan: Plan, circuit: str, found: Peak) -> Strain:
    path = plan.type_of(circuit).path
    allowed = path.allowable or plan.materials[path.material].allowable
    kept = allowed is None or found.value <= allowed
    said = (
        "elastic, fully restrained"
        if allowed
        else "elastic, fully restrained; the plan gives no allowable stress"
    )
    return Strain(circuit, Load.STRESS, found.value, found.time_ms, allowed, kept, said)


def _hammers(plan: Plan, circuit: str, grid: Grid, state: State) -> Iterator[Strain]:
    """In a valve's own line what it stops alone, in the shared line what all that shut in the same step
    stop.
    """
    for valve in plan.type_of(circuit).valves.values():
        name = f"{circuit}.{valve.name}"
        closing = [float(part) for part in state.closing[grid.valves.index(name)]]
        if valve.supply is None or closing[f.C_FLOW] <= 0.0:
            continue
        shared = plan.supplies[valve.supply].line
        if valve.line is not None:
            yield _hammer(plan, name, valve, valve.line, closing[f.C_FLOW : f.C_ALL])
        if shared is not None:
            yield _hammer(plan, name, valve, shared, closing[f.C_ALL :])


def _hammer(plan: Plan, name: str, valve: Valve, line: Line, closing: Sequence[float]) -> Strain:
    flow, opened, seconds = closing
    closes_in = valve.travel * opened
    done = close(line, plan.materials[line.material], flow, closes_in)
    value = plan.supplies[valve.supply or ""].pressure + done.surge
    what = Load.HAMMER if line is valve.line or valve.line is None else Load.SHARED_HAMMER
    said = (
        f"{'rapid' if done.rapid else 'slow'}: shuts in {1000 * closes_in:.3g} ms, the wave is back in "
        f"{1000 * done.wave_time:.2g} ms; stops {done.velocity:.2g} m/s"
    )
    said += "" if line is valve.line else ", with what shuts together on that line"
    return Strain(name, what, value, round(1000 * seconds), line.rated, value <= line.rated, said)


def residue(plan: Plan, circuit: str, liquid: float) -> float:
    """Volume of steam that the next heat-up makes of the water left in a circuit, m3."""
    host = plan.circuits[circuit].host
    start = plan.bodies[host].start if host in plan.bodies else plan.gas_streams[host].start
    return steam_of(liquid, plan.type_of(circuit).outlet.pressure, start)


def full(grid: Grid, circuit: str) -> float:
    """Water that a full circuit holds, kg."""
    return RHO * float(grid.constants.circuit[grid.circuits.index(circuit), f.CELL_VOLUME]) * grid.cells


def heating_notes(plan: Plan, grid: Grid, record: Record) -> Iterator[Note]:
    """Heating that has not been shut off and gives more than is taken."""
    things: Mapping[str, Body | GasStream] = {**plan.bodies, **plan.gas_streams}
    for name, thing in things.items():
        found = peak(grid, record, name)
        if thing.heating is not None and found.value > thing.start + RISES_FROM:
            beyond = "; the model has no basis above 400 °C" if found.value > HOT_WALL else ""
            yield Note(
                name,
                f"its heating gave more than was taken: it rose to {TEMPERATURE.text(found.value)} at "
                f"{clock(found.time_ms)}, from {TEMPERATURE.text(thing.start)}{beyond}",
            )


def strain_notes(plan: Plan, uses: tuple[CircuitUse, ...], grid: Grid, record: Record) -> Iterator[Note]:
    """Counter-flow, pressure above the supply, heating that wins, and water that would flash, in
    sentences.
    """
    yield from heating_notes(plan, grid, record)
    for use in uses:
        if use.geysers >= PULSATES_FROM:
            yield Note(
                use.circuit,
                f"steam from metal above boiling stopped the water {use.geysers} times (pulsating "
                "counter-flow); each "
                "time the check valve and the water column take a blow that is not computed",
            )
        supplies = [plan.supplies[v.supply] for v in plan.type_of(use.circuit).valves.values() if v.supply]
        water = max(supply.pressure for supply in supplies if supply.fluid == "water")
        found = peak(grid, record, CIRCUIT_PRESSURE.named(use.circuit))
        if found.value > water:
            yield Note(
                use.circuit,
                f"the pressure rose to {PRESSURE.text(found.value)} at {clock(found.time_ms)}, above the "
                "water's "
                f"{PRESSURE.text(water)}: it presses back against the check valve of the water",
            )
        if use.flash_volume > 0.0 and use.liquid_left > MUCH_LEFT * full(grid, use.circuit):
            yield Note(
                use.circuit,
                f"{use.liquid_left:.2g} kg of water are left in it; the next heat-up turns them into about "
                f"{use.flash_volume:.2g} m3 of steam: drain or blow out longer, and keep its outlet open",
            )
