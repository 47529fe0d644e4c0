"""The keys of what stands in the works.

Rule of this file: data only. Bounds catch slips of the pen (a gram for a kilogram), they are not design
limits.
"""

from __future__ import annotations

from steadfall.plan import model
from steadfall.plan.keys.kinds import Amount, Number, One, Refs, Solid, Whole, Words, may, must, section
from steadfall.plan.keys.sections.losses import HEATING, SHELL

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
        model.Supply,
        "Water or air.",
        must("fluid", Words(("water", "air")), "What it is.", "water"),
        must(
            "pressure",
            _PRESSURE,
            "Pressure where it does not fall however much is drawn; without `kv` and `line`: at the "
            "valves, with the valves open.",
            "4 barg",
            tolerance="pressure",
            of_plant=True,
        ),
        must(
            "temperature",
            Amount("temperature", "0 degC", "95 degC"),
            "Its temperature.",
            "14 degC",
            tolerance="temperature",
            of_plant=True,
        ),
        may(
            "line",
            One("line"),
            "The pipe that all its valves share; a valve's own line branches off it.",
            "{length: 12 m, bore: 27 mm, wall: 3.2 mm, material: carbon steel, rated: 16 barg}",
            shows_plant=True,
        ),
        may(
            "kv",
            _KV,
            "Flow coefficient of what else all its valves share (meter, strainer, regulator): the more of "
            "them are open, the lower the pressure before each.",
            "6 m3/h",
            tolerance="kv",
            shows_plant=True,
        ),
    ),
    section(
        "line",
        model.Line,
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
        model.Material,
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
        model.Body,
        "A lump of heat: hot metal, or the load.",
        must(
            "mass",
            Amount("mass", "0.01 kg", "1000 t"),
            "Mass, with the walls of its circuits' channels (see `wall_mass`).",
            "820 kg",
            tolerance="mass",
        ),
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
        may(
            "segments",
            One("segments"),
            "Parts along the way of its circuits, where it does not cool evenly.",
            "{count: 4, length: 1.6 m, section: 0.065 m2}",
        ),
        HEATING,
        SHELL,
        one_of=(("material", "heat_capacity"),),
    ),
    section(
        "segments",
        model.Segments,
        "Equal parts of a body, one behind the other; each has its own temperature and an equal share of the "
        "mass, of the links and of the surface.",
        must("count", Whole(2, 40), "How many parts.", "4"),
        must(
            "length",
            Amount("length", "1 mm", "200 m"),
            "From end to end through all parts; round a ring, once round.",
            "1.6 m",
        ),
        must(
            "section",
            Amount("area", "1 cm2", "1000 m2"),
            "The cross-section that heat crosses from part to part.",
            "0.065 m2",
        ),
        may(
            "conductivity",
            _CONDUCTIVITY,
            "Thermal conductivity from part to part; that of its material.",
            "45 W/m/K",
        ),
        may(
            "joined",
            Words(("row", "ring"), (False, True)),
            "Whether the parts stand in a row, or the last touches the first.",
            "ring",
            default="row",
            into="ring",
        ),
    ),
    section(
        "inner",
        model.Inner,
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
        model.GasStream,
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
        model.Link,
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
)
