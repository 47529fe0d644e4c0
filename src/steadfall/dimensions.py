"""What can be measured: each dimension with its words, its units, and what people write instead of them.

Rule of this file: tables only. A spelling stands once for a unit of the table in `units`, which reads and
writes quantities by these tables.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import frozen


@frozen
class Dimension:
    """What a unit measures: the words for it, an example, and its spellings with the unit each stands for."""

    name: str
    words: str  # with its article: "a pressure"
    example: str
    spellings: Mapping[str, str]  # spelling in a plan -> unit of that table; the first is the preferred one


DIMENSIONS: Mapping[str, Dimension] = {
    dimension.name: dimension
    for dimension in (
        Dimension("temperature", "a temperature", "140 degC", {"degC": "celsius", "degF": "fahrenheit"}),
        Dimension("temperature_difference", "a temperature difference", "10 K", {"K": "kelvin"}),
        Dimension(
            "pressure",
            "a pressure",
            "4 barg",
            {
                "barg": "bar_gauge",
                "bara": "bar",
                "mbarg": "millibar_gauge",
                "mbara": "millibar",
                "kPag": "kilopascal_gauge",
                "kPaa": "kilopascal",
                "MPag": "megapascal_gauge",
                "MPaa": "megapascal",
                "psig": "psi_gauge",
                "psia": "psi",
            },
        ),
        Dimension(
            "pressure_difference",
            "a pressure difference",
            "0.2 bar",
            {"bar": "bar", "mbar": "millibar", "kPa": "kilopascal", "psi": "psi"},
        ),
        Dimension(
            "kv",
            "a flow coefficient Kv",
            "2.1 m3/h",
            {"m3/h": "metre ** 3 / hour", "l/min": "litre / minute"},
        ),
        Dimension(
            "volume_flow",
            "a volume flow",
            "2.2 m3/s",
            {
                "m3/s": "metre ** 3 / second",
                "m3/h": "metre ** 3 / hour",
                "l/s": "litre / second",
                "l/min": "litre / minute",
            },
        ),
        Dimension("mass", "a mass", "820 kg", {"kg": "kilogram", "g": "gram", "t": "tonne"}),
        Dimension(
            "mass_flow",
            "a mass flow",
            "0.2 kg/s",
            {
                "kg/s": "kilogram / second",
                "kg/h": "kilogram / hour",
                "kg/min": "kilogram / minute",
                "g/s": "gram / second",
            },
        ),
        Dimension(
            "length",
            "a length",
            "14 mm",
            {"m": "metre", "mm": "millimetre", "cm": "centimetre", "in": "inch"},
        ),
        Dimension("area", "an area", "3.2 m2", {"m2": "metre ** 2", "cm2": "centimetre ** 2"}),
        Dimension(
            "time", "a time", "45 s", {"s": "second", "ms": "millisecond", "min": "minute", "h": "hour"}
        ),
        Dimension("power", "a heat flow", "12 kW", {"W": "watt", "kW": "kilowatt"}),
        Dimension(
            "conductance", "a conductance", "850 W/K", {"W/K": "watt / kelvin", "kW/K": "kilowatt / kelvin"}
        ),
        Dimension(
            "heat_capacity",
            "a heat capacity",
            "1.9 kJ/kg/K",
            {"J/kg/K": "joule / kilogram / kelvin", "kJ/kg/K": "kilojoule / kilogram / kelvin"},
        ),
        Dimension(
            "film_coefficient", "a film coefficient", "15 W/m2/K", {"W/m2/K": "watt / metre ** 2 / kelvin"}
        ),
        Dimension("conductivity", "a conductivity", "50 W/m/K", {"W/m/K": "watt / metre / kelvin"}),
        Dimension("density", "a density", "7850 kg/m3", {"kg/m3": "kilogram / metre ** 3"}),
        Dimension("volume", "a volume", "6 m3", {"m3": "metre ** 3", "l": "litre"}),
        Dimension(
            "fall_rate",
            "a fall rate",
            "2 K/min",
            {"K/s": "kelvin / second", "K/min": "kelvin / minute", "K/h": "kelvin / hour"},
        ),
        Dimension("percent", "a percentage", "40 %", {"%": "percent"}),
        Dimension("stress", "a stress", "210 GPa", {"GPa": "gigapascal", "MPa": "megapascal"}),
        Dimension("expansion", "a thermal expansion", "12e-6 1/K", {"1/K": "1 / kelvin"}),
    )
}

# What the distance between two values is.
DIFFERENCES: Mapping[str, str] = {
    "temperature": "temperature_difference",
    "temperature_difference": "temperature_difference",
    "pressure": "pressure_difference",
    "mass_flow": "mass_flow",
    "mass": "mass",
    "percent": "percent",
}

# What people write instead, and what to tell them.
GAUGE_OR_ABSOLUTE = "does not say gauge or absolute"
UNCLEAR: Mapping[str, tuple[str, str]] = {
    "bar": (GAUGE_OR_ABSOLUTE, "barg (gauge) or bara (absolute)"),
    "mbar": (GAUGE_OR_ABSOLUTE, "mbarg (gauge) or mbara (absolute)"),
    "psi": (GAUGE_OR_ABSOLUTE, "psig (gauge) or psia (absolute)"),
    "kPa": (GAUGE_OR_ABSOLUTE, "kPag (gauge) or kPaa (absolute)"),
    "MPa": (GAUGE_OR_ABSOLUTE, "MPag (gauge) or MPaa (absolute)"),
    "Pa": (GAUGE_OR_ABSOLUTE, "kPag (gauge) or kPaa (absolute)"),
}
LOOKALIKES: Mapping[str, str] = {
    "bar(g)": "barg", "bar(a)": "bara", "Barg": "barg", "BarG": "barg", "barG": "barg", "bar.g": "barg",
    "°C": "degC", "C": "degC", "Celsius": "degC", "celsius": "degC", "deg": "degC", "°F": "degF", "F": "degF",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "msec": "ms", "mins": "min", "minute": "min",
    "minutes": "min", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "m3/hr": "m3/h", "m³/h": "m3/h",
    "m^3/h": "m3/h", "m³/s": "m3/s", "m³": "m3", "kg/m³": "kg/m3", "lpm": "l/min", "L/min": "l/min", "L": "l",
    "Kg": "kg", "KG": "kg", "kgs": "kg", "k": "K", "J/kgK": "J/kg/K", "J/(kg.K)": "J/kg/K",
    "J/(kg K)": "J/kg/K",
    "kJ/kgK": "kJ/kg/K", "kJ/(kg.K)": "kJ/kg/K", "m²": "m2", "m^2": "m2",
    "W/m2K": "W/m2/K", "W/m²/K": "W/m2/K", "W/(m2.K)": "W/m2/K", "W/(m2 K)": "W/m2/K",
    "W/mK": "W/m/K", "W/(m.K)": "W/m/K", "percent": "%", "pct": "%",
    "degC/min": "K/min", "°C/min": "K/min", "degC/s": "K/s", "degC/h": "K/h", "K-1": "1/K", "/K": "1/K",
}  # fmt: skip

# Where another unit than the first reads better: dimension -> (from this SI magnitude up, spelling), largest
# first.
HANDY: Mapping[str, tuple[tuple[float, str], ...]] = {
    "time": ((3 * 3600.0, "h"), (300.0, "min"), (1.0, "s"), (0.0, "ms")),
    "length": ((0.5, "m"), (0.0, "mm")),
    "power": ((1000.0, "kW"), (0.0, "W")),
    "conductance": ((1000.0, "kW/K"), (0.0, "W/K")),
    "mass_flow": ((1.0, "kg/s"), (0.0, "kg/min")),
    "heat_capacity": ((1000.0, "kJ/kg/K"), (0.0, "J/kg/K")),
    "fall_rate": ((0.2, "K/s"), (0.0, "K/min")),
    "volume": ((0.1, "m3"), (0.0, "l")),
}
