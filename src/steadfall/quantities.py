"""How a plant quantity is read by a person: the unit in which charts, tables and files show it.

Rule of this file: inside everything is SI; a number that leaves Steadfall for a person's eye or another
program is in the unit that stands on the gauge (degC, barg, kg/min, kW), and that unit stands in its heading.
"""

from __future__ import annotations

from typing import Any

from attrs import frozen

from steadfall.constants import ATMOSPHERE, ZERO_CELSIUS


@frozen
class Reading:
    """A unit to show a quantity in: shown = SI x factor + offset, with so many decimals."""

    unit: str  # as written in a plan and in column headings
    symbol: str  # as shown to a person
    factor: float
    offset: float
    digits: int

    def of(self, si: Any) -> Any:
        """A number or an array of SI values in this unit."""
        return si * self.factor + self.offset

    def text(self, si: float) -> str:
        """A value with its unit, for a table: `112.4 °C`."""
        return f"{self.number(si)} {self.symbol}".rstrip()

    def number(self, si: float) -> str:
        """The value alone, never `-0.0`."""
        text = f"{self.of(si):.{self.digits}f}"
        return text.removeprefix("-") if float(text) == 0 else text


TEMPERATURE = Reading("degC", "°C", 1.0, -ZERO_CELSIUS, 1)
DIFFERENCE = Reading("K", "K", 1.0, 0.0, 1)
PRESSURE = Reading("barg", "barg", 1e-5, -ATMOSPHERE * 1e-5, 2)
FLOW = Reading("kg/min", "kg/min", 60.0, 0.0, 2)
STRESS = Reading("MPa", "MPa", 1e-6, 0.0, 1)
MASS = Reading("kg", "kg", 1.0, 0.0, 2)
HEAT = Reading("kW", "kW", 1e-3, 0.0, 1)
PERCENT = Reading("%", "%", 1.0, 0.0, 1)
PLAIN = Reading("", "", 1.0, 0.0, 3)
PER_MINUTE = Reading("K/min", "K/min", 60.0, 0.0, 2)
PER_SECOND = Reading("K/s", "K/s", 1.0, 0.0, 2)

BY_UNIT = {
    "K": TEMPERATURE,
    "Pa": PRESSURE,
    "kg/s": FLOW,
    "kg": MASS,
    "W": HEAT,
    "%": PERCENT,
    "K/s": PER_MINUTE,
}
BY_LAST_WORD = {  # of the name of a plant quantity; every other name is a body or a gas stream
    "difference": DIFFERENCE,
    "wall_shock": DIFFERENCE,
    "wall_stress": STRESS,
    "pressure": PRESSURE,
    "water_flow": FLOW,
    "air_flow": FLOW,
    "steam_flow": FLOW,
    "water_held": MASS,
    "water_used": MASS,
    "heat": HEAT,
    "position": PLAIN,
}


def reading_of(name: str) -> Reading:
    """The reading of a plant quantity by its name: `upper.pressure` is read in barg, `splice` in degC."""
    return BY_LAST_WORD.get(name.rpartition(".")[2], TEMPERATURE)


def reading_of_track(name: str, unit: str) -> Reading:
    """The reading of a recorded signal by its name and its SI unit; a unit not in the table is shown as it
    is.
    """
    special = BY_LAST_WORD.get(name.rpartition(".")[2])
    if special in (DIFFERENCE, STRESS):
        return special
    return BY_UNIT.get(unit, Reading(unit, unit, 1.0, 0.0, 3))


def clock(ms: float, *, fine: bool = False) -> str:
    """A moment or a time as on a stopwatch: `4:05`, `1:02:30`, and with `fine` to the millisecond,
    `4:05.320`.
    """
    whole = round(ms)
    sign, whole = ("-", -whole) if whole < 0 else ("", whole)
    if not fine:
        whole = (whole + 500) // 1000 * 1000
    seconds, rest = divmod(whole, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    head = f"{hours}:{minutes:02d}" if hours else f"{minutes}"
    tail = f".{rest:03d}" if fine else ""
    return f"{sign}{head}:{seconds:02d}{tail}"
