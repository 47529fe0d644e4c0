"""What can be seen of a plant, and in which unit a person reads it: one table for everybody.

Rule of this file: inside everything is SI; a number that leaves Steadfall for a person's eye or another
program is in the unit that stands on the gauge (degC, barg, kg/min, kW), and that unit stands in its heading.
The end of a name serves to make names and is never read: a body may be called `heat`.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Any

from attrs import frozen

from steadfall.constants import ATMOSPHERE, ZERO_CELSIUS, G


@frozen
class Reading:
    """A unit to show a quantity in: shown = SI x factor + offset, with so many decimals."""

    si: str  # the unit inside, "" for what has none
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


TEMPERATURE = Reading("K", "degC", "°C", 1.0, -ZERO_CELSIUS, 1)
DIFFERENCE = Reading("K", "K", "K", 1.0, 0.0, 1)
PRESSURE = Reading("Pa", "barg", "barg", 1e-5, -ATMOSPHERE * 1e-5, 2)
FLOW = Reading("kg/s", "kg/min", "kg/min", 60.0, 0.0, 2)
STRESS = Reading("Pa", "MPa", "MPa", 1e-6, 0.0, 1)
MASS = Reading("kg", "kg", "kg", 1.0, 0.0, 2)
HEAT = Reading("W", "kW", "kW", 1e-3, 0.0, 1)
PERCENT = Reading("%", "%", "%", 1.0, 0.0, 1)
PLAIN = Reading("", "", "", 1.0, 0.0, 3)
PER_MINUTE = Reading("K/s", "K/min", "K/min", 60.0, 0.0, 2)
PER_SECOND = Reading("K/s", "K/s", "K/s", 1.0, 0.0, 2)
# Of parts that are sized.
KV = Reading("m3/s", "m3/h", "m³/h", 3600.0, 0.0, 3)
SPEED = Reading("m/s", "m/s", "m/s", 1.0, 0.0, 2)
DROP = Reading("Pa", "bar", "bar", 1e-5, 0.0, 2)
SECONDS = Reading("s", "s", "s", 1.0, 0.0, 2)
COUNT = Reading("", "", "", 1.0, 0.0, 0)
FREE_AIR = Reading("m3/s", "m3/min", "m³/min", 60.0, 0.0, 2)
AIR_USED = Reading("m3", "m3", "m³", 1.0, 0.0, 1)
VOLUME = Reading("m3", "l", "l", 1000.0, 0.0, 2)
HEIGHT = Reading("m", "m", "m", 1.0, 0.0, 1)
OF_EACH = Reading("J/kg", "kJ/kg", "kJ/kg", 1e-3, 0.0, 0)
DRAINED = Reading("J", "MJ", "MJ", 1e-6, 0.0, 1)
USED = Reading("kg", "kg", "kg", 1.0, 0.0, 1)
IN_ALL = Reading("kg", "kg", "kg", 1.0, 0.0, 0)
GRAMS = Reading("kg", "g", "g", 1000.0, 0.0, 1)

# What a value is of, by `dimensions.DIMENSIONS` -> how it is read; "fraction" and "switch" have no unit.
READINGS: Mapping[str, Reading] = {
    "temperature": TEMPERATURE,
    "temperature_difference": DIFFERENCE,
    "pressure": PRESSURE,
    "stress": STRESS,
    "mass_flow": FLOW,
    "mass": MASS,
    "power": HEAT,
    "percent": PERCENT,
    "fall_rate": PER_MINUTE,
    "fraction": PLAIN,
    "switch": PLAIN,
}


# In US units. Pound and inch are exact (international yard and pound agreement, 1959), the Btu is that of the
# international table (5th conference on the properties of steam, 1956), the gallon has 231 cubic inches.
POUND, INCH, BTU = 0.45359237, 0.0254, 1055.05585262  # kg, m, J
FOOT, GALLON, OUNCE = 12 * INCH, 231 * INCH**3, POUND / 16  # m, m3, kg
PSI = POUND * G / INCH**2  # Pa
_IN_US: Mapping[Reading, Reading] = {
    TEMPERATURE: Reading("K", "degF", "°F", 1.8, -459.67, 1),
    DIFFERENCE: Reading("K", "", "°F apart", 1.8, 0.0, 1),
    PRESSURE: Reading("Pa", "psig", "psig", 1.0 / PSI, -ATMOSPHERE / PSI, 1),
    FLOW: Reading("kg/s", "", "lb/min", 60.0 / POUND, 0.0, 2),
    STRESS: Reading("Pa", "", "ksi", 1e-3 / PSI, 0.0, 1),
    MASS: Reading("kg", "", "lb", 1.0 / POUND, 0.0, 1),
    HEAT: Reading("W", "", "kBtu/h", 3.6 / BTU, 0.0, 1),
    PER_MINUTE: Reading("K/s", "", "°F/min", 108.0, 0.0, 1),
    PER_SECOND: Reading("K/s", "", "°F/s", 1.8, 0.0, 2),
    SPEED: Reading("m/s", "", "ft/s", 1.0 / FOOT, 0.0, 1),
    DROP: Reading("Pa", "", "psi", 1.0 / PSI, 0.0, 1),
    FREE_AIR: Reading("m3/s", "", "cfm", 60.0 / FOOT**3, 0.0, 1),
    AIR_USED: Reading("m3", "", "ft³", 1.0 / FOOT**3, 0.0, 0),
    VOLUME: Reading("m3", "", "gal", 1.0 / GALLON, 0.0, 2),
    HEIGHT: Reading("m", "", "ft", 1.0 / FOOT, 0.0, 1),
    OF_EACH: Reading("J/kg", "", "Btu/lb", POUND / BTU, 0.0, 0),
    DRAINED: Reading("J", "", "kBtu", 1e-3 / BTU, 0.0, 1),
    USED: Reading("kg", "", "lb", 1.0 / POUND, 0.0, 1),
    IN_ALL: Reading("kg", "", "lb", 1.0 / POUND, 0.0, 0),
    GRAMS: Reading("kg", "", "oz", 1.0 / OUNCE, 0.0, 2),
}


@frozen(eq=False)
class Units:
    """In which units a person reads results; what a plan says stays as it is written."""

    name: str
    instead: Mapping[Reading, Reading]

    def of(self, usual: Reading) -> Reading:
        """How a quantity is read here."""
        return self.instead.get(usual, usual)


METRIC, US = Units("metric", {}), Units("US", _IN_US)


def reading(dimension: str, si: str) -> Reading:
    """How a value is read: by its dimension, or where none is said by its SI unit alone.

    Without a dimension `K` is a temperature and `Pa` a pressure; a unit of no dimension is shown as it is.
    """
    if dimension in READINGS:
        return READINGS[dimension]
    usual = (one for one in READINGS.values() if one.si == si)
    return next(usual, Reading(si, si, si, 1.0, 0.0, 3)) if si else PLAIN


def dimension_shown_in(unit: str) -> str:
    """What a column holds by the unit in its heading; "" where that says nothing."""
    return next((name for name, one in READINGS.items() if unit and one.unit == unit), "")


class Owner(Enum):
    """What a quantity is of."""

    BODY = "body"
    SHELLS = "body with an inner resistance, in one piece"
    PARTS = "body in segments"
    PART = "segment"
    PART_SHELLS = "segment with an inner resistance"
    STREAM = "gas stream"
    CIRCUIT = "circuit"
    VALVE = "valve"
    SUPPLY = "supply"


@frozen
class Quantity:
    """What can be seen of every thing of one sort: how its names are made, and what it measures."""

    of: Owner
    end: str
    dimension: str

    def named(self, owner: str) -> str:
        """The name of this quantity of a thing: `upper.wall_shock`; of a body's temperature `splice`."""
        return f"{owner}.{self.end}" if self.end else owner

    @property
    def reading(self) -> Reading:
        """How a person reads it."""
        return READINGS[self.dimension]


BODY = Quantity(Owner.BODY, "", "temperature")  # the mean of its heat
BODY_SURFACE = Quantity(Owner.BODY, "surface", "temperature")
BODY_CORE = Quantity(Owner.BODY, "core", "temperature")
CORE_LESS_SURFACE = Quantity(Owner.SHELLS, "difference", "temperature_difference")
SPREAD = Quantity(Owner.PARTS, "spread", "temperature_difference")  # hottest less coldest
LEFT_BEHIND = Quantity(Owner.PARTS, "mean_less_coldest", "temperature_difference")  # what uneven stress takes
HOTTEST = Quantity(Owner.PARTS, "hottest", "temperature")
COLDEST = Quantity(Owner.PARTS, "coldest", "temperature")
PART = Quantity(Owner.PART, "", "temperature")  # the mean of its heat
PART_SURFACE = Quantity(Owner.PART, "surface", "temperature")
PART_CORE = Quantity(Owner.PART, "core", "temperature")
PART_DIFFERENCE = Quantity(Owner.PART_SHELLS, "difference", "temperature_difference")
STREAM = Quantity(Owner.STREAM, "", "temperature")
AFTER_COIL = Quantity(Owner.STREAM, "after_coil", "temperature")
FAN_FLOW = Quantity(Owner.STREAM, "flow", "mass_flow")  # of its gas, through the fan
OUTLET_TEMPERATURE = Quantity(Owner.CIRCUIT, "outlet_temperature", "temperature")
CIRCUIT_PRESSURE = Quantity(Owner.CIRCUIT, "pressure", "pressure")
WALL = Quantity(Owner.CIRCUIT, "wall", "temperature")
WALL_COLDEST = Quantity(Owner.CIRCUIT, "wall.coldest", "temperature")
WALL_HOTTEST = Quantity(Owner.CIRCUIT, "wall.hottest", "temperature")
WATER_FLOW = Quantity(Owner.CIRCUIT, "water_flow", "mass_flow")
AIR_FLOW = Quantity(Owner.CIRCUIT, "air_flow", "mass_flow")
STEAM_FLOW = Quantity(Owner.CIRCUIT, "steam_flow", "mass_flow")
WATER_HELD = Quantity(Owner.CIRCUIT, "water_held", "mass")
WALL_HEAT = Quantity(Owner.CIRCUIT, "heat", "power")
WALL_SHOCK = Quantity(Owner.CIRCUIT, "wall_shock", "temperature_difference")
WATER_USED = Quantity(Owner.CIRCUIT, "water_used", "mass")
WALL_STRESS = Quantity(Owner.CIRCUIT, "wall_stress", "stress")
POSITION = Quantity(Owner.VALVE, "position", "fraction")
IS_OPEN = Quantity(Owner.VALVE, "is_open", "switch")
IS_SHUT = Quantity(Owner.VALVE, "is_shut", "switch")
SUPPLY_PRESSURE = Quantity(Owner.SUPPLY, "pressure", "pressure")  # behind its pumps, before all else

# Every quantity, in the order in which names are listed; `plant.grid.seen` has a row for each.
QUANTITIES: tuple[Quantity, ...] = (
    *(BODY, BODY_SURFACE, BODY_CORE, CORE_LESS_SURFACE, SPREAD, LEFT_BEHIND, HOTTEST, COLDEST),
    *(PART, PART_SURFACE, PART_CORE, PART_DIFFERENCE, STREAM, AFTER_COIL, FAN_FLOW),
    *(OUTLET_TEMPERATURE, CIRCUIT_PRESSURE, WALL, WALL_COLDEST, WALL_HOTTEST),
    *(WATER_FLOW, AIR_FLOW, STEAM_FLOW, WATER_HELD, WALL_HEAT, WALL_SHOCK, WATER_USED, WALL_STRESS),
    *(POSITION, IS_OPEN, IS_SHUT, SUPPLY_PRESSURE),
)


_SECOND, _MINUTE = 1000, 60_000  # ms


def each_of(*owners: Owner) -> tuple[Quantity, ...]:
    """Every quantity of these sorts of things."""
    return tuple(one for one in QUANTITIES if one.of in owners)


def moment(ms: float) -> str:
    """A moment of a run, to the millisecond where it lies between two seconds: `4:05`, `0:12.340`."""
    whole = round(ms)
    return clock(whole, fine=whole % 1000 != 0)


def how_long(ms: float) -> str:
    """How long something lasts: `300 ms`, `2.4 s`, and from a minute on as on a stopwatch, `4:05`."""
    whole = round(ms)
    if abs(whole) >= _MINUTE:
        return moment(whole)
    if 0 < abs(whole) < _SECOND:
        return f"{whole} ms"
    return f"{whole / 1000:.3f}".rstrip("0").rstrip(".") + " s"


def clock(ms: float, *, fine: bool = False) -> str:
    """A moment or a time as on a stopwatch: `4:05`, `1:02:30`, and with `fine` to the millisecond,
    `4:05.320`.
    """
    whole = round(ms)
    sign, whole = ("-", -whole) if whole < 0 else ("", whole)
    if not fine:
        whole = (whole + 500) // 1000 * 1000
        sign = sign if whole else ""
    seconds, rest = divmod(whole, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    head = f"{hours}:{minutes:02d}" if hours else f"{minutes}"
    tail = f".{rest:03d}" if fine else ""
    return f"{sign}{head}:{seconds:02d}{tail}"
