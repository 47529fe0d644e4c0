"""What a run of any plant must not do, measured: the figures that tests judge and the bench adds up.

Bounds of temperature. Heat flows only from hot to cold, so bodies and gas streams stay between the coldest
and the hottest source: their starts, ambient, water and air as supplied; heating that stays on may lift a
node by its energy over the node's heat capacity. Gas in a circuit is no such thing: pressure does work on it
(V dP). Air or steam of temperature T that goes from p to p' reaches T (p'/p)^(R/c_p) at most, R/c_p of air
0.284, and through it a trace of liquid or a thin wall may leave the range of the sources too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from attrs import define, field

from steadfall.plant import fields as f
from steadfall.plant.grid.notes import noticed, stop_reason
from steadfall.plant.kernel.circuit import HOT_WALL, STOP_PRESSURE
from steadfall.plant.law.properties import C_A, R_A
from tests.plant.any_plant import Case
from tests.plant.running import Run

EXPONENT = R_A / C_A  # of adiabatic compression of air; steam's is less
GASSY = 1e-9  # kg in a cell, below which its temperature is that of a trace
CHUNKS = 6  # moments at which each phase is looked at
BOOKS = 1e-5  # of what moved; below 2e-6 in every run so far, where it is the round-off of tonnes of steel
NODES = 0.06  # K by which a node may leave its sources: what compressed gas can warm, 0.01 a kg, in a sixth
WALLS = 10.0  # K by which a thin wall may
GAS = 1.0  # K by which gas may leave its bound, since pressure is looked at now and then only


@define
class Findings:
    """The worst of a run."""

    finite: bool = True
    least_mass: float = math.inf  # kg of any phase in any cell
    books: dict[str, float] = field(factory=dict)  # relative error of each
    below: float = (
        math.inf
    )  # K by which the coldest node stays above the coldest source (negative: it does not)
    above: float = math.inf
    wall_below: float = math.inf
    wall_above: float = math.inf
    gas_below: float = math.inf  # K of gas within its adiabatic bound
    gas_above: float = math.inf
    untold: list[str] = field(factory=list)  # what left the range of the model without a word
    stop: int = f.GOING
    flags: int = 0
    seconds: float = 0.0
    water: float = 0.0  # kg let in


def heated(run: Run) -> float:
    """K by which heating may lift a node above every source by now."""
    constants, now = run.grid.constants, float(run.state.clock[0])
    total = 0.0
    for node, row in zip(constants.heater_node, constants.heater, strict=True):
        end = min(now, row[f.E_UNTIL])
        decay = row[f.E_DECAY]
        energy = row[f.E_POWER] * (end if decay == 0.0 else (1.0 - math.exp(-decay * end)) / decay)
        total += energy / constants.capacity[node]
    return total


def sources(run: Run, case: Case) -> tuple[float, float]:
    """The coldest and the hottest source, K."""
    plan = case.plan
    given = [plan.ambient, *(supply.temperature for supply in plan.supplies.values())]
    start = run.grid.constants.start
    return min(*given, float(start.min())), max(*given, float(start.max()))


def _chunks(case: Case) -> Iterator[tuple[float, tuple[str, ...]]]:
    for seconds, valves in case.phases:
        for _ in range(CHUNKS):
            yield max(seconds / CHUNKS, case.step), valves


def explore(case: Case) -> Findings:
    """Run a case to its end or stop and look at it all along."""
    run, found = Run(case.plan, case.cells, case.step), Findings()
    cold, hot = sources(run, case)
    lowest = float(run.state.cells[:, :, f.PC].min())
    for seconds, valves in _chunks(case):
        run.go(seconds, *valves)
        cells = run.state.cells
        found.finite &= bool(np.isfinite(cells).all() and np.isfinite(run.state.nodes).all())
        lowest = min(lowest, float(cells[:, :, f.PC].min()))
        look(found, run, (cold, hot + heated(run)), lowest)
        if run.state.stop[0] != f.GOING:
            break
    found.stop, found.seconds = int(run.state.stop[0]), float(run.state.clock[0])
    found.flags = int(np.bitwise_or.reduce(run.state.flags))
    found.books = dict(run.books().errors)
    found.water = float(run.state.books[:, f.WATER_IN].sum())
    found.untold += untold(run)
    return found


def look(found: Findings, run: Run, ends: tuple[float, float], lowest: float) -> None:
    """Take note of the worst so far."""
    cells, nodes, (cold, hot) = run.state.cells, run.state.nodes, ends
    found.least_mass = min(found.least_mass, float(cells[:, :, [f.ML, f.MA, f.MV]].min()))
    found.below, found.above = min(found.below, nodes.min() - cold), min(found.above, hot - nodes.max())
    walls = cells[:, :, f.W0 :]
    found.wall_below = min(found.wall_below, float(walls.min()) - cold)
    found.wall_above = min(found.wall_above, hot - float(walls.max()))
    gassy = cells[:, :, f.MA] + cells[:, :, f.MV] > GASSY
    ratio = (float(run.state.circuit[:, f.PEAK].max()) / lowest) ** EXPONENT
    if gassy.any():
        gas = cells[:, :, f.TG][gassy]
        found.gas_below = min(found.gas_below, float(gas.min()) - cold / ratio)
        found.gas_above = min(found.gas_above, hot * ratio - float(gas.max()))


def untold(run: Run) -> list[str]:
    """What left the range of the model and no flag or stop says so."""
    state, missing = run.state, []
    said = {(one.circuit, one.bit) for one in noticed(run.grid, state)}
    reason = stop_reason(run.grid, state)
    for c, name in enumerate(run.grid.circuits):
        own = state.circuit[c]
        if own[f.HOTTEST] > HOT_WALL and (name, f.WALL_HOT) not in said:
            missing.append(f"{name}: wall above 400 degC")
        if own[f.PEAK] > STOP_PRESSURE and (reason is None or reason.bit != f.TOO_HIGH):
            missing.append(f"{name}: above 40 bar")
        if own[f.UNMET] > 0.0 and (name, f.UNSOLVED) not in said:
            missing.append(f"{name}: outlet law missed")
        if own[f.REVERSALS] > 0.0 and (name, f.HELD_BACK) not in said:
            missing.append(f"{name}: water held back")
    return missing


def faults(found: Findings) -> list[str]:
    """What no run may do, in words; empty when it did none of it."""
    judged = {
        "a value that is not a number": found.finite and found.stop != f.NOT_FINITE,
        "a negative mass": found.least_mass >= 0.0,
        f"books open: {found.books}": max(found.books.values()) < BOOKS,
        "a node beyond its sources": min(found.below, found.above) > -NODES,
        "a wall beyond its sources": min(found.wall_below, found.wall_above) > -WALLS,
        "gas beyond what compression can do": min(found.gas_below, found.gas_above) > -GAS,
        f"not told: {found.untold}": not found.untold,
    }
    return [what for what, kept in judged.items() if not kept]
