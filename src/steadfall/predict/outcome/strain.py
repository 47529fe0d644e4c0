"""What a run did to the plant: pressure, thermal stress and water hammer against what each part is rated
for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import frozen

from steadfall.plan.model import Line, MainValve, Plan, Valve
from steadfall.plant import fields as f
from steadfall.plant.damage.hammer import close
from steadfall.plant.damage.residue import steam_of
from steadfall.plant.damage.restraint import restraint
from steadfall.plant.damage.stress import uneven_stress
from steadfall.plant.grid.whole import Grid
from steadfall.plant.state import State
from steadfall.predict.outcome.judge import strain_margin
from steadfall.predict.outcome.result import Load, Strain
from steadfall.predict.outcome.verdict import verdict
from steadfall.predict.record import Record
from steadfall.quantities import CIRCUIT_PRESSURE, LEFT_BEHIND, WALL_STRESS, how_long


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
    """Circuit by circuit: peak pressure, wall stress, and the hammer of each water valve that has a line;
    then that of main valves.
    """
    found: list[Strain] = []
    for circuit in plan.circuits:
        found.append(_pressure(plan, circuit, peak(grid, record, CIRCUIT_PRESSURE.named(circuit))))
        found.append(_stress(plan, circuit, peak(grid, record, WALL_STRESS.named(circuit))))
        found += _hammers(plan, circuit, grid, state)
    found += _main_hammers(plan, grid, state)
    found += _uneven(plan, grid, record)
    return tuple(found)


def _uneven(plan: Plan, grid: Grid, record: Record) -> Iterator[Strain]:
    """The stress between the parts of each body in segments that a circuit cools, of its channel's metal."""
    hosts = {circuit.host: plan.type_of(name).path for name, circuit in plan.circuits.items()}
    for name, body in plan.bodies.items():
        if body.parts > 1 and body.inner is None and name in hosts:
            path = hosts[name]
            solid = plan.materials[path.material]
            below = peak(grid, record, LEFT_BEHIND.named(name))
            worst = Peak(uneven_stress(solid, below.value), below.time_ms)
            said = "elastic, its parts held straight beside each other"
            yield strained(name, Load.UNEVEN, worst, path.allowable or solid.allowable, said)


def _pressure(plan: Plan, circuit: str, found: Peak) -> Strain:
    rated = plan.type_of(circuit).rated
    return strained(circuit, Load.PRESSURE, found, rated, "")


def _stress(plan: Plan, circuit: str, found: Peak) -> Strain:
    path = plan.type_of(circuit).path
    allowed = path.allowable or plan.materials[path.material].allowable
    said = f"elastic, held back by {restraint(plan, circuit).said}"
    said += "" if allowed else "; the plan gives no allowable stress"
    return strained(circuit, Load.STRESS, found, allowed, said)


def strained(about: str, what: Load, found: Peak, bound: float | None, how: str) -> Strain:
    """What a part went through, held against its bound."""
    told = verdict([strain_margin(bound, found.value)])
    return Strain(about, what, found.value, found.time_ms, bound, told, how)


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


def _main_hammers(plan: Plan, grid: Grid, state: State) -> Iterator[Strain]:
    """In the line of a supply what its main valve stops: all that is drawn at that moment."""
    for name, main in plan.main_valves.items():
        closing = [float(part) for part in state.closing[grid.valves.index(name)]]
        line = plan.supplies[main.supply].line
        if line is not None and closing[f.C_FLOW] > 0.0:
            yield _hammer(plan, name, main, line, closing[f.C_FLOW : f.C_ALL])


def _hammer(plan: Plan, name: str, valve: Valve | MainValve, line: Line, closing: Sequence[float]) -> Strain:
    flow, opened, seconds = closing
    own = valve.line if isinstance(valve, Valve) else line
    closes_in = valve.travel * opened
    done = close(line, plan.materials[line.material], flow, closes_in)
    found = Peak(plan.supplies[valve.supply or ""].pressure + done.surge, round(1000 * seconds))
    what = Load.HAMMER if line is own or own is None else Load.SHARED_HAMMER
    said = (
        f"{'rapid' if done.rapid else 'slow'}: shuts in {how_long(1000 * closes_in)}, the wave is back in "
        f"{how_long(1000 * done.wave_time)}; stops {done.velocity:.2g} m/s"
    )
    said += "" if line is own else ", with what shuts together on that line"
    return strained(name, what, found, line.rated, said)


def residue(plan: Plan, circuit: str, liquid: float) -> float:
    """Volume of steam that the next heat-up makes of the water left in a circuit, m3."""
    host = plan.circuits[circuit].host
    start = plan.bodies[host].start if host in plan.bodies else plan.gas_streams[host].start
    return steam_of(liquid, plan.type_of(circuit).outlet.pressure, start)
