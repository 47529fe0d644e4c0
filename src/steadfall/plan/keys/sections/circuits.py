"""The keys of circuit types: channel, outlet, valves.

Rule of this file: data only; see `plan.keys.sections.equipment`.
"""

from __future__ import annotations

from steadfall.constants import ATMOSPHERE
from steadfall.plan import model
from steadfall.plan.keys.held import Delay, Visits
from steadfall.plan.keys.kinds import (
    Amount,
    Either,
    Many,
    Named,
    One,
    Pattern,
    Ref,
    Solid,
    Time,
    Whole,
    Words,
    may,
    must,
    section,
)
from steadfall.plan.model.equipment import Order, Path

_PRESSURE = Amount("pressure", "0.05 bara", "40 barg")
_KV = Amount("kv", "0 m3/h", "500 m3/h", above=True)
_STRESS = Amount("stress", "0 MPa", "5 GPa", above=True)
_CONDUCTANCE = Amount("conductance", "0 W/K", "1000 kW/K", above=True)

SECTIONS = (
    section(
        "circuit_type",
        model.CircuitType,
        "One description that many circuits share.",
        must(
            "path", One("path"), "The cooling channel.", "{bore: 14 mm, ...}", of_plant=True, shows_plant=True
        ),
        must(
            "outlet",
            One("outlet"),
            "What the circuit discharges through.",
            "{kv: 3.5 m3/h}",
            of_plant=True,
            shows_plant=True,
        ),
        may(
            "relief",
            One("relief"),
            "A relief valve on the circuit.",
            "{opens_at: 8 barg, kv: 2 m3/h}",
            shows_plant=True,
        ),
        must("rated", _PRESSURE, "Pressure that the circuit is rated for.", "10 barg", of_plant=True),
        must(
            "valves",
            Named("valve"),
            "The valves by name.",
            "{flood: {supply: works_water, ...}}",
            control=True,
        ),
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
            control=True,
        ),
        may(
            "cold_start",
            Words(("finish", "idle")),
            "Where the sequence begins after power-up: `finish`, as the circuit may be hot and hold water.",
            "finish",
            default="finish",
            control=True,
        ),
        must(
            "stages",
            Many(("stage",)),
            "The stages, gentle first.",
            "[{name: full, flood: open}]",
            control=True,
        ),
        may(
            "finish",
            Many(("finish_step",)),
            "What follows when the call ends, or on a trip.",
            "[{name: blow_out, ...}]",
            control=True,
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
            "wall_mass",
            Words(("in_body", "on_top"), (True, False)),
            "Whether the mass of the body that it cools counts the wall already, or the wall is a tube that "
            "comes on top of it. Tubes in a gas stream always do.",
            "on_top",
            default="in_body",
            into="wall_in_body",
        ),
        may(
            "way",
            Many(("run",), short=True),
            "How the passes run over the parts of a host that is cut into `segments`: an entry for all "
            "passes, or one for each equal group of them.",
            "[out, back]",
        ),
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
        "run",
        model.Run,
        "The way of a pass over the parts of its host.",
        must(
            "order",
            Either(
                (
                    Words(tuple(Order), tuple(Order)),
                    Pattern(
                        r"(?P<parts>[0-9]+( [0-9]+)*)",
                        "out, back, out and back, back and out, or the numbers of the parts in their order",
                        Visits,
                    ),
                )
            ),
            "`out` is from the first part to the last; numbers name parts, each touched by an equal length "
            "of the pass.",
            "out and back",
        ),
        may(
            "share",
            Amount("percent", "0 %", "100 %", above=True),
            "How much of the circuit's water goes this way, where the passes take unequal flow: the heat is "
            "shared by it.",
            "60 %",
        ),
    ),
    section(
        "outlet",
        model.Outlet,
        "What the circuit discharges through, open unless a valve of the circuit `opens: outlet`.",
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
        model.Relief,
        "A relief valve on the circuit.",
        must("opens_at", _PRESSURE, "Pressure at which it begins to lift.", "8 barg"),
        must("kv", _KV, "Flow coefficient when fully lifted.", "2 m3/h"),
    ),
    section(
        "valve",
        model.Valve,
        "A valve of the circuit: it lets a supply in, or lies in the outlet, or opens a bypass of it.",
        may("supply", Ref(), "The supply that it lets in; or give `opens`.", "works_water", control=True),
        may(
            "opens",
            Words(("outlet_bypass", "outlet")),
            "What it opens where it has no supply: a bypass of the outlet (a drain), or the outlet itself, "
            "which is shut then where no step opens it.",
            "outlet_bypass",
            control=True,
        ),
        must(
            "kv",
            _KV,
            "Flow coefficient when fully open: of the valve alone where a `line` is given, else with its "
            "pipework.",
            "2.1 m3/h",
            tolerance="kv",
            of_plant=True,
            shows_plant=True,
        ),
        must(
            "travel",
            Amount("time", "1 ms", "10 min"),
            "Time from shut to open.",
            "1.5 s",
            tolerance="travel",
            of_plant=True,
        ),
        may(
            "shortest_open",
            Time("0 s", "1 h", counted=True, set=True),
            "Once open it stays open at least so long, unless a permissive or trip cuts.",
            "300 ms",
            default="0 s",
            into="shortest_open_ms",
            control=True,
        ),
        may(
            "shortest_shut",
            Time("0 s", "1 h", counted=True, set=True),
            "Once shut it stays shut at least so long.",
            "300 ms",
            default="0 s",
            into="shortest_shut_ms",
            control=True,
        ),
        may(
            "rest",
            Words(("shut", "open")),
            "Position while the circuit is idle.",
            "open",
            default="shut",
            control=True,
        ),
        may(
            "without_signal",
            Words(("shut", "open", "stays")),
            "How its spring puts it where it has no signal or no power. With `open` its output is energised "
            "to shut it. `stays`: a motor moves it both ways, and without power it stands where it is.",
            "open",
            default="shut",
            control=True,
        ),
        may("life", Whole(1, 10**10), "Openings that the maker promises.", "1000000"),
        may(
            "feedback",
            One("feedback"),
            "Its limit switch.",
            "{input: flood_is_open, within: 3 s}",
            control=True,
        ),
        may(
            "line",
            One("line"),
            "The pipe that leads to this valve alone, and on to the circuit.",
            "{length: 12 m, bore: 27 mm, wall: 3.2 mm, material: carbon steel, rated: 16 barg}",
            shows_plant=True,
        ),
        one_of=(("supply", "opens"),),
    ),
    section(
        "feedback",
        model.Feedback,
        "A limit switch that shows the valve open; if it disagrees with the command, "
        "`CIRCUIT.VALVE.disagrees` is on; of a main valve `VALVE.disagrees`.",
        must(
            "input", Ref(), "The switch: `CIRCUIT.input` where there is one, else `input`.", "flood_is_open"
        ),
        must(
            "within",
            Time("1 ms", "1 h", counted=True, set=True),
            "How long it may lag the command.",
            "3 s",
            into="within_ms",
        ),
    ),
)
