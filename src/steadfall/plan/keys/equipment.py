"""The keys of what stands in the works.

Rule of this file: data only. Bounds catch slips of the pen (a gram for a kilogram), they are not design
limits.
"""

from __future__ import annotations

from steadfall.constants import ATMOSPHERE
from steadfall.plan.keys.held import Delay
from steadfall.plan.keys.kinds import (
    Amount,
    Either,
    Many,
    Named,
    Number,
    One,
    Pattern,
    Ref,
    Refs,
    Solid,
    Time,
    Whole,
    Words,
    may,
    must,
    section,
)
from steadfall.plan.keys.losses import HEATING, SHELL
from steadfall.plan.model import (
    Body,
    CircuitType,
    Feedback,
    GasStream,
    Inner,
    Line,
    Link,
    Material,
    Outlet,
    Relief,
    Supply,
    Valve,
)
from steadfall.plan.model.equipment import Path

_PRESSURE = Amount("pressure", "0.05 bara", "40 barg")
_KV = Amount("kv", "0 m3/h", "500 m3/h", above=True)
_TEMPERATURE = Amount("temperature", "-20 degC", "600 degC")
_HEAT_CAPACITY = Amount("heat_capacity", "50 J/kg/K", "10 kJ/kg/K")
_DENSITY = Amount("density", "10 kg/m3", "25000 kg/m3")
_CONDUCTIVITY = Amount("conductivity", "0.01 W/m/K", "500 W/m/K")
_STRESS = Amount("stress", "0 MPa", "5 GPa", above=True)
_CONDUCTANCE = Amount("conductance", "0 W/K", "1000 kW/K", above=True)

SECTIONS = (
    section(
        "supply",
        Supply,
        "Water or air.",
        must("fluid", Words(("water", "air")), "What it is.", "water"),
        must(
            "pressure",
            _PRESSURE,
            "Pressure where it does not fall however much is drawn; without `kv` and `line`: at the "
            "valves, with the valves open.",
            "4 barg",
            tolerance="pressure",
        ),
        must(
            "temperature",
            Amount("temperature", "0 degC", "95 degC"),
            "Its temperature.",
            "14 degC",
            tolerance="temperature",
        ),
        may(
            "line",
            One("line"),
            "The pipe that all its valves share; a valve's own line branches off it.",
            "{length: 12 m, bore: 27 mm, wall: 3.2 mm, material: carbon steel, rated: 16 barg}",
        ),
        may(
            "kv",
            _KV,
            "Flow coefficient of what else all its valves share (meter, strainer, regulator): the more of "
            "them are open, the lower the pressure before each.",
            "6 m3/h",
            tolerance="kv",
        ),
    ),
    section(
        "line",
        Line,
        "A pipe between supply and circuit: its friction, how far it rises, and what is hammered when "
        "a valve closes.",
        must("length", Amount("length", "0.1 m", "2000 m"), "Its length.", "12 m"),
        must("bore", Amount("length", "1 mm", "2 m"), "Inner diameter.", "27 mm"),
        must("wall", Amount("length", "0.2 mm", "200 mm"), "Thickness of its wall.", "3.2 mm"),
        must("material", Solid(), "Material of the pipe.", "carbon steel"),
        must(
            "rated",
            Amount("pressure", "0.05 bara", "400 barg"),
            "Pressure that its weakest part is rated for.",
            "16 barg",
        ),
        may(
            "elevation",
            Amount("length", "-200 m", "500 m"),
            "How far its end lies above its beginning; it counts for water only.",
            "3 m",
            default="0 m",
        ),
    ),
    section(
        "material",
        Material,
        "A solid that the built-in table lacks.",
        must("density", _DENSITY, "Density.", "7800 kg/m3"),
        must("heat_capacity", _HEAT_CAPACITY, "Specific heat capacity.", "460 J/kg/K"),
        must("conductivity", _CONDUCTIVITY, "Thermal conductivity.", "28 W/m/K"),
        must(
            "expansion",
            Amount("expansion", "0 1/K", "1e-3 1/K"),
            "Thermal expansion, for the stress index.",
            "11e-6 1/K",
        ),
        must(
            "youngs_modulus",
            Amount("stress", "0 GPa", "1000 GPa", above=True),
            "Young's modulus, for the stress index.",
            "210 GPa",
        ),
        must("poisson", Number("0", "0.5"), "Poisson's ratio, for the stress index.", "0.3"),
        may("allowable", _STRESS, "Thermal stress that is allowed in it.", "120 MPa"),
    ),
    section(
        "body",
        Body,
        "A lump of heat: hot metal, or the load.",
        must("mass", Amount("mass", "0.01 kg", "1000 t"), "Mass.", "820 kg", tolerance="mass"),
        may("material", Solid(), "Material; or give `heat_capacity`.", "carbon steel"),
        may(
            "heat_capacity",
            _HEAT_CAPACITY,
            "Specific heat capacity; or give `material`.",
            "1.9 kJ/kg/K",
            tolerance="heat_capacity",
        ),
        must("start", _TEMPERATURE, "Temperature when cooling begins.", "165 degC", tolerance="start"),
        may(
            "inner",
            One("inner"),
            "Inner resistance, where the core lags the surface.",
            "{shape: slab, half_thickness: 12 mm, conductivity: 0.25 W/m/K}",
        ),
        HEATING,
        SHELL,
        one_of=(("material", "heat_capacity"),),
    ),
    section(
        "inner",
        Inner,
        "The inner resistance of a body, by its shape.",
        must(
            "shape", Words(("slab", "cylinder", "sphere")), "Shape; a slab is cooled on both faces.", "slab"
        ),
        may("half_thickness", Amount("length", "0.1 mm", "2 m"), "Half the thickness of a slab.", "12 mm"),
        may("radius", Amount("length", "0.1 mm", "2 m"), "Radius of a cylinder or sphere.", "40 mm"),
        must("conductivity", _CONDUCTIVITY, "Thermal conductivity inside.", "0.25 W/m/K"),
        may(
            "density",
            _DENSITY,
            "Density, which turns the body's mass into its surface; that of its material, else of water.",
            "1150 kg/m3",
        ),
        may("shells", Whole(2, 20), "Shells from surface to core that are calculated.", "4", default="4"),
    ),
    section(
        "gas_stream",
        GasStream,
        "Gas that a fan drives round, over the coil and then over what it cools.",
        must("gas", Words(("air", "nitrogen")), "Which gas.", "air"),
        may(
            "pressure",
            _PRESSURE,
            "Pressure of the gas; its density follows from it.",
            "0 barg",
            default="0 barg",
        ),
        must("volume", Amount("volume", "0.001 m3", "10000 m3"), "Volume of the gas.", "6 m3"),
        must(
            "fan_flow",
            Amount("volume_flow", "0 m3/s", "500 m3/s", above=True),
            "Flow of the fan at the pressure and temperature of the gas.",
            "2.2 m3/s",
            tolerance="fan_flow",
        ),
        must("start", _TEMPERATURE, "Temperature when cooling begins.", "220 degC", tolerance="start"),
        HEATING,
        SHELL,
        may(
            "leak",
            Amount("volume_flow", "0 m3/s", "500 m3/s", above=True),
            "Gas that is lost at the pressure and temperature of the stream, and made up at ambient "
            "temperature.",
            "40 m3/h",
            tolerance="leak",
        ),
    ),
    section(
        "link",
        Link,
        "Heat passes between two bodies, a body and a gas stream, or either and `ambient`.",
        must("between", Refs(2, 2), "The two that heat passes between.", "[upper_platen, splice]"),
        must(
            "conductance",
            _CONDUCTANCE,
            "Heat flow per kelvin of difference.",
            "850 W/K",
            tolerance="conductance",
        ),
    ),
    section(
        "circuit_type",
        CircuitType,
        "One description that many circuits share.",
        must("path", One("path"), "The cooling channel.", "{bore: 14 mm, ...}"),
        must("outlet", One("outlet"), "What the circuit discharges through.", "{kv: 3.5 m3/h}"),
        may("relief", One("relief"), "A relief valve on the circuit.", "{opens_at: 8 barg, kv: 2 m3/h}"),
        must("rated", _PRESSURE, "Pressure that the circuit is rated for.", "10 barg"),
        must("valves", Named("valve"), "The valves by name.", "{flood: {supply: works_water, ...}}"),
        may(
            "step_down",
            Either(
                (
                    Words(("at once",)),
                    Pattern(r"after (?P<time>.+)", "'at once', or 'after' and a time", Delay),
                )
            ),
            "How soon the sequence steps down when a lower stage is called: least time in a stage.",
            "after 10 s",
            default="at once",
        ),
        may(
            "cold_start",
            Words(("finish", "idle")),
            "Where the sequence begins after power-up: `finish`, as the circuit may be hot and hold water.",
            "finish",
            default="finish",
        ),
        must("stages", Many(("stage",)), "The stages, gentle first.", "[{name: full, flood: open}]"),
        may(
            "finish",
            Many(("finish_step",)),
            "What follows when the call ends, or on a trip.",
            "[{name: blow_out, ...}]",
        ),
        tall=True,
    ),
    section(
        "path",
        Path,
        "The cooling channel: equal parallel passes of a bore in a wall that touches the host.",
        must("bore", Amount("length", "1 mm", "500 mm"), "Inner diameter.", "14 mm"),
        must("length", Amount("length", "0.1 m", "2000 m"), "Length of each pass.", "18 m"),
        may("passes", Whole(1, 1000), "Parallel passes.", "2", default="1"),
        must(
            "wall",
            Amount("length", "0.2 mm", "200 mm"),
            "Thickness of the metal that belongs to the channel: the tube wall, or the layer round a "
            "drilled hole.",
            "3 mm",
        ),
        must("material", Solid(), "Material of the wall.", "carbon steel"),
        may(
            "host_conductance",
            _CONDUCTANCE,
            "Heat flow per kelvin from the host into the wall, for the whole circuit; to a gas stream it "
            "is the coil's gas side, fins included. Or give `drilled`, `jacket` or `bank`.",
            "2.4 kW/K",
            tolerance="host_conductance",
        ),
        may(
            "drilled",
            One("drilled"),
            "The holes in a solid host, in place of `host_conductance`: the conductance is computed from "
            "them.",
            "{spacing: 60 mm, depth: 30 mm}",
        ),
        may(
            "jacket",
            One("jacket"),
            "The jacket on a solid host, in place of `host_conductance`: the conductance is computed from "
            "it.",
            "{area: 0.9 m2, thickness: 25 mm, radius: 120 mm}",
        ),
        may(
            "bank",
            One("bank"),
            "The tube bank in a gas stream, in place of `host_conductance`: the conductance is computed "
            "from it.",
            "{rows: 4, across: 12, pitch_across: 60 mm, pitch_along: 52 mm, arrangement: staggered}",
        ),
        may("bends", Whole(0, 10000), "Right-angle bends in each pass.", "10", default="0"),
        may(
            "roughness",
            Amount("length", "0 mm", "2 mm"),
            "Roughness of the bore (0.05 mm: commercial steel pipe, common practice).",
            "0.05 mm",
            default="0.05 mm",
        ),
        may(
            "allowable",
            _STRESS,
            "Thermal stress that is allowed in the wall; that of its material.",
            "120 MPa",
        ),
        one_of=(("host_conductance", "drilled", "jacket", "bank"),),
    ),
    section(
        "outlet",
        Outlet,
        "What the circuit discharges through, always open.",
        must(
            "kv",
            _KV,
            "Flow coefficient of all that lies between the circuit and the drain.",
            "3.5 m3/h",
            tolerance="outlet.kv",
        ),
        may(
            "to",
            Either((Words(("atmosphere",), (ATMOSPHERE,)), Amount("pressure", "0.05 bara", "20 barg"))),
            "Pressure behind it.",
            "atmosphere",
            default="atmosphere",
            into="pressure",
        ),
    ),
    section(
        "relief",
        Relief,
        "A relief valve on the circuit.",
        must("opens_at", _PRESSURE, "Pressure at which it begins to lift.", "8 barg"),
        must("kv", _KV, "Flow coefficient when fully lifted.", "2 m3/h"),
    ),
    section(
        "valve",
        Valve,
        "A valve of the circuit: it lets a supply in, or opens a bypass of the outlet.",
        may("supply", Ref(), "The supply that it lets in; or give `opens`.", "works_water"),
        may("opens", Words(("outlet_bypass",)), "What it opens where it has no supply.", "outlet_bypass"),
        must(
            "kv",
            _KV,
            "Flow coefficient when fully open: of the valve alone where a `line` is given, else with its "
            "pipework.",
            "2.1 m3/h",
            tolerance="kv",
        ),
        must(
            "travel", Amount("time", "1 ms", "10 min"), "Time from shut to open.", "1.5 s", tolerance="travel"
        ),
        may(
            "shortest_open",
            Time("0 s", "1 h", counted=True),
            "Once open it stays open at least so long, unless a permissive or trip cuts.",
            "300 ms",
            default="0 s",
            into="shortest_open_ms",
        ),
        may(
            "shortest_shut",
            Time("0 s", "1 h", counted=True),
            "Once shut it stays shut at least so long.",
            "300 ms",
            default="0 s",
            into="shortest_shut_ms",
        ),
        may("rest", Words(("shut", "open")), "Position while the circuit is idle.", "open", default="shut"),
        may("life", Whole(1, 10**10), "Openings that the maker promises.", "1000000"),
        may("feedback", One("feedback"), "Its limit switch.", "{input: flood_is_open, within: 3 s}"),
        may(
            "line",
            One("line"),
            "The pipe that leads to this valve alone, and on to the circuit.",
            "{length: 12 m, bore: 27 mm, wall: 3.2 mm, material: carbon steel, rated: 16 barg}",
        ),
        one_of=(("supply", "opens"),),
    ),
    section(
        "feedback",
        Feedback,
        "A limit switch that shows the valve open; if it belies the command, "
        "`CIRCUIT.VALVE.disagrees` is on.",
        must(
            "input", Ref(), "The switch: `CIRCUIT.input` where there is one, else `input`.", "flood_is_open"
        ),
        must(
            "within",
            Time("1 ms", "1 h", counted=True),
            "How long it may lag the command.",
            "3 s",
            into="within_ms",
        ),
    ),
)
