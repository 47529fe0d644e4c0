"""What the kernel noticed, as sentences for the person who reads the prediction."""

from __future__ import annotations

from attrs import frozen

from steadfall.plant import fields as f
from steadfall.plant.grid.whole import Grid
from steadfall.plant.state import State

SENTENCES = {  # bit of the circuit's flags -> what a person should know; the moment is put in front
    f.WALL_HOT: "the wall is above 400 degC, where the boiling curve of this model has no basis",
    f.FILM: (
        "water meets metal too hot to wet (film boiling); published temperatures at which the film collapses "
        "differ by 100 K and more, so times there are rough until fitted"
    ),
    f.BELOW_TABLE: "the pressure fell below 0.02 bar abs, the low end of the table of saturation",
    f.ABOVE_TABLE: "the pressure rose above 60 bar abs, the high end of the table of saturation",
    f.SLOW_WATER: (
        "water ran at a Reynolds number between 2 300 and 10 000, below the turbulent correlation's range"
    ),
    f.UNSOLVED: (
        "the outlet law was missed by more than 10 % of the flow in at least one step; the books still close"
    ),
    f.SUCKED_BACK: "collapsing steam or a falling supply drew air in through the outlet",
    f.HELD_BACK: "the pressure in the circuit held the water back although its valve was open",
    f.TRANSITION: (
        "water met metal above the peak of boiling and below film boiling; between the two the curve is a "
        "straight line, a choice, so that heat there is rough until fitted"
    ),
    f.SUBCOOLED: (
        "water more than 50 K below its boiling point met metal above the peak of boiling; how cold water "
        "lifts the peak and the collapse of the film has data up to 50 K only"
    ),
    f.SLOW_GAS: (
        "gas ran at a Reynolds number between 2 300 and 10 000 for 10 s and more, below the turbulent "
        "correlation's range"
    ),
}
STOPS = {  # stop code -> why the plant cannot be predicted further
    f.TOO_HIGH: (
        "the pressure passed 40 bar abs: the steam has no way out; this plan is not acceptable as it is"
    ),
    f.NOT_FINITE: "the computation broke down (a value is not a number); please report this plan",
}
WARNINGS = frozenset({f.WALL_HOT, f.BELOW_TABLE, f.ABOVE_TABLE, f.UNSOLVED})  # the model itself is in doubt


@frozen
class Noticed:
    """One sentence about one circuit, and when it first held (s)."""

    circuit: str
    time: float
    bit: int
    text: str


def noticed(grid: Grid, state: State) -> tuple[Noticed, ...]:
    """Everything the kernel flagged, by circuit and bit."""
    found = []
    for c, circuit in enumerate(grid.circuits):
        for bit, text in SENTENCES.items():
            if state.flags[c] & bit:
                found.append(Noticed(circuit, float(state.flagged_at[c, bit.bit_length() - 1]), bit, text))
    return tuple(found)


def stop_reason(grid: Grid, state: State) -> Noticed | None:
    """Why and where the plant stopped, or None while it goes."""
    code, circuit = int(state.stop[0]), int(state.stop[1])
    if code == f.GOING:
        return None
    return Noticed(grid.circuits[circuit], float(state.clock[0]), code, STOPS[code])
