"""The keys of heating that stays on and of the surfaces that lose heat to ambient.

Rule of this file: data only; see `plan.keys.sections.equipment`.
"""

from __future__ import annotations

from steadfall.plan import model
from steadfall.plan.keys.kinds import Amount, Either, Number, One, Words, may, must, section

_POWER = Amount("power", "0 W", "10000 kW", above=True)
_TIME = Amount("time", "0 s", "240 h", above=True)

HEATING = may(
    "heating",
    Either((_POWER, One("heating"))),
    "Heating that has not been shut off, from the start of the cool-down.",
    "2 kW",
)
SHELL = may(
    "shell",
    One("shell"),
    "The surface by which it loses heat to ambient; or link it to `ambient`.",
    "{area: 3.2 m2, length: 1 m}",
)

SECTIONS = (
    section(
        "heating",
        model.Heating,
        "Heating that has not been shut off, or dies away; spread evenly over the mass of a body.",
        must("power", _POWER, "At the start.", "2 kW", tolerance="heating"),
        may("until", _TIME, "When it ends, from the start; it never does.", "20 min"),
        may("time_constant", _TIME, "It dies away: after so long 37 % of it are left.", "15 min"),
    ),
    section(
        "shell",
        model.Shell,
        "A surface that loses heat to ambient by free convection of air and by radiation.",
        must("area", Amount("area", "1 cm2", "100000 m2"), "Its area.", "3.2 m2", tolerance="shell.area"),
        must(
            "length",
            Amount("length", "1 mm", "100 m"),
            "Height of an upright surface; of a lying one its area over its circumference.",
            "1 m",
        ),
        may(
            "face",
            Words(("upright", "up", "down")),
            "Which way it faces; `upright` is a wall.",
            "upright",
            default="upright",
        ),
        may(
            "emissivity",
            Number("0", "1"),
            "Its emissivity (0.8: oxidised or painted steel, common practice; bright sheet 0.2).",
            "0.8",
            default="0.8",
        ),
        may(
            "insulation",
            One("insulation"),
            "The layer between it and the body or gas.",
            "{thickness: 80 mm, conductivity: 0.05 W/m/K}",
        ),
        may(
            "inside",
            Amount("film_coefficient", "0 W/m2/K", "100000 W/m2/K", above=True),
            "Film coefficient from a gas stream to its casing; without it the casing is as hot as the gas.",
            "15 W/m2/K",
        ),
    ),
    section(
        "insulation",
        model.Insulation,
        "A layer of insulation.",
        must("thickness", Amount("length", "0.1 mm", "5 m"), "Its thickness.", "80 mm"),
        must(
            "conductivity",
            Amount("conductivity", "0.001 W/m/K", "500 W/m/K"),
            "Its thermal conductivity.",
            "0.05 W/m/K",
        ),
    ),
)
