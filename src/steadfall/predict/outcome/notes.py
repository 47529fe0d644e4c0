"""What a reader should know of what a run did to the plant, in sentences: heating that wins, steam that stops
the water, pressure above the supply, water that is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from enum import Enum

from steadfall.constants import WATER
from steadfall.plan.model import Body, CircuitType, GasStream, Plan
from steadfall.plant import fields as f
from steadfall.plant.grid.whole import Grid
from steadfall.plant.kernel.circuit import HOT_WALL
from steadfall.predict.outcome.result import CircuitUse, Note
from steadfall.predict.outcome.strain import peak
from steadfall.predict.record import Record
from steadfall.quantities import CIRCUIT_PRESSURE, PRESSURE, TEMPERATURE, clock

PULSATES_FROM = 3  # geysers of one circuit that are worth a note
RISES_FROM = 1.0  # K above its start from which a heated body is worth a note
MUCH_LEFT = 0.02  # of a full circuit: water left behind that is worth a note


class Finish(Enum):
    """How far the finish of a circuit came in a run; the word is what to do about water that is left."""

    NONE = "drain or blow it out"  # the plan has none
    NOT_DONE = "its finish was not done in this run; drain or blow it out first"
    DONE = "drain or blow out longer"


def finish_of(kind: CircuitType, stages: Sequence[int]) -> Finish:
    """How far the finish came, from the stages that a circuit went through: 0 idle, then the stages, then the
    steps of the finish. A circuit that never left idle is taken as finished.
    """
    if not kind.finish:
        return Finish.NONE
    busy = [stage for stage in stages if stage]
    if busy and (stages[-1] or busy[-1] <= len(kind.stages)):
        return Finish.NOT_DONE
    return Finish.DONE


def notes(
    plan: Plan, uses: Sequence[CircuitUse], finishes: Mapping[str, Finish], grid: Grid, record: Record
) -> Iterator[Note]:
    """Every such sentence of a run; `finishes` says how far the finish of each circuit came."""
    yield from heating_notes(plan, grid, record)
    for use in uses:
        yield from _steam(use)
        yield from _pressure(plan, use, grid, record)
        yield from _water_left(use, finishes[use.circuit], grid)


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


def _steam(use: CircuitUse) -> Iterator[Note]:
    if use.geysers >= PULSATES_FROM:
        yield Note(
            use.circuit,
            f"steam from metal above boiling stopped the water {use.geysers} times (pulsating counter-flow); "
            "each time the check valve and the water column take a blow that is not computed",
        )


def _pressure(plan: Plan, use: CircuitUse, grid: Grid, record: Record) -> Iterator[Note]:
    supplies = [plan.supplies[v.supply] for v in plan.type_of(use.circuit).valves.values() if v.supply]
    water = max(supply.pressure for supply in supplies if supply.fluid == "water")
    found = peak(grid, record, CIRCUIT_PRESSURE.named(use.circuit))
    if found.value > water:
        yield Note(
            use.circuit,
            f"the pressure rose to {PRESSURE.text(found.value)} at {clock(found.time_ms)}, above the water's "
            f"{PRESSURE.text(water)}: it presses back against the check valve of the water",
        )


def _water_left(use: CircuitUse, finish: Finish, grid: Grid) -> Iterator[Note]:
    if use.flash_volume > 0.0 and use.liquid_left > MUCH_LEFT * full(grid, use.circuit):
        yield Note(
            use.circuit,
            f"{use.liquid_left:.2g} kg of water are left in it; the next heat-up turns them into about "
            f"{use.flash_volume:.2g} m3 of steam: {finish.value}, and keep its outlet open",
        )


def full(grid: Grid, circuit: str) -> float:
    """Cold water that a full circuit holds, kg."""
    return WATER * float(grid.constants.circuit[grid.circuits.index(circuit), f.CELL_VOLUME]) * grid.cells
