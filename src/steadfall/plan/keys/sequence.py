"""The keys of what the controller is to do.

Rule of this file: data only.
"""

from __future__ import annotations

from steadfall.plan.keys.kinds import (
    Amount,
    Either,
    Key,
    Measure,
    One,
    Phrase,
    Ref,
    Refs,
    Section,
    Span,
    Text,
    Time,
    Words,
)
from steadfall.plan.model import (
    Call,
    Circuit,
    Demand,
    Dose,
    FinishStep,
    Input,
    Permissive,
    Ramp,
    Scan,
    Share,
    Stage,
    Trip,
)

_SENSED = ("temperature", "temperature_difference", "pressure", "percent")
_CIRCUITS = Key(
    "circuits", Refs(), "The circuits it is for; all that have the stage, where left out.", "[upper, lower]"
)

SECTIONS = (
    Section(
        "scan",
        "What the controller promises about its scan.",
        (
            Key(
                "nominal",
                Time("1 ms", "10 s"),
                "Usual time from scan to scan.",
                "20 ms",
                required=True,
                into="nominal_ms",
            ),
            Key(
                "longest",
                Time("1 ms", "10 s"),
                "Longest time from scan to scan.",
                "40 ms",
                required=True,
                into="longest_ms",
            ),
            Key(
                "timer_step",
                Time("1 ms", "10 s"),
                "Every preset is a multiple of it, as the controller's timers count in it.",
                "10 ms",
                default="1 ms",
                into="timer_step_ms",
            ),
        ),
        makes=Scan,
    ),
    Section(
        "stage",
        (
            "One stage of cooling. Every further key names a valve and says what it does; a valve not named "
            "is shut."
        ),
        (
            Key("name", Ref(), "Name of the stage.", "dosing", required=True),
            Key(
                "climb",
                Phrase(),
                "When the sequence may climb to the next stage (not on the last).",
                "after 45 s and outlet_temperature < 140 degC",
            ),
        ),
        others=Key(
            "VALVE",
            Either((Words(("open", "shut")), One("share"), One("dose"))),
            "What the valve does in this stage.",
            "{open: 0.8 s, shut: 2.4 s}",
            into="actions",
        ),
        makes=Stage,
    ),
    Section(
        "dose",
        "A valve that opens and shuts in turn.",
        (
            Key("open", Time("1 ms", "1 h"), "How long it is open.", "0.8 s", required=True, into="open_ms"),
            Key("shut", Time("1 ms", "1 h"), "How long it is shut.", "2.4 s", required=True, into="shut_ms"),
            Key(
                "clock",
                Words(("restart", "free")),
                "`restart`: doses begin with the stage; `free`: a shared clock, which may clip the first.",
                "restart",
                default="restart",
            ),
        ),
        makes=Dose,
    ),
    Section(
        "share",
        "Time-proportioned: in each cycle the valve is open for as many percent as the signal says.",
        (
            Key("share_of", Ref(), "A percent input or a ramp.", "zone_ramp", required=True, into="of"),
            Key("cycle", Time("10 ms", "1 h"), "Length of a cycle.", "8 s", required=True, into="cycle_ms"),
        ),
        makes=Share,
    ),
    Section(
        "finish_step",
        "One step of the finish. Every further key names a valve that is open in it.",
        (
            Key("name", Ref(), "Name of the step.", "blow_out", required=True),
            Key("for", Time("10 ms", "24 h"), "How long it lasts.", "20 s", required=True, into="for_ms"),
        ),
        others=Key(
            "VALVE", Words(("open", "shut")), "What the valve does in this step.", "open", into="actions"
        ),
        makes=FinishStep,
    ),
    Section(
        "circuit",
        "A circuit of a type, on its host.",
        (
            Key("type", Ref(), "Its circuit type.", "platen_circuit", required=True),
            Key("host", Ref(), "The body or gas stream that it cools.", "upper_platen", required=True),
            Key(
                "delay_doses",
                Time("0 s", "1 h"),
                "By how much its doses lag, so that circuits take turns.",
                "1.6 s",
                default="0 s",
                into="delay_doses_ms",
            ),
        ),
        makes=Circuit,
    ),
    Section(
        "input",
        "A signal into the controller.",
        (
            Key(
                "kind",
                Words(("switch", "temperature", "temperature_difference", "pressure", "percent")),
                "What it is.",
                "temperature",
                required=True,
            ),
            Key(
                "range",
                Span(_SENSED),
                "Ends of the sensor, in the unit that the controller sees.",
                "0 .. 250 degC",
                into="span",
            ),
            Key(
                "measures",
                Ref(),
                "The quantity of the plant behind it; the one of the same name, where there is one.",
                "splice",
            ),
            Key("lag", Amount("time", "0 s", "1 h"), "First-order lag of the sensor.", "4 s", default="0 s"),
            Key(
                "normal",
                Either((Words(("on", "off")), Measure(_SENSED))),
                "Its value in ordinary running; `off`, or the low end of the range.",
                "on",
            ),
        ),
        makes=Input,
    ),
    Section(
        "ramp",
        "A set-point that falls at a rate, and the percent of cooling that the distance to it asks for.",
        (
            Key(
                "of",
                Ref(),
                "The temperature input that is to follow the ramp.",
                "zone_temperature",
                required=True,
            ),
            Key("when", Phrase(), "While it holds, the set-point falls.", "cool_call", required=True),
            Key(
                "fall",
                Amount("fall_rate", "0 K/h", "100 K/s", above=True),
                "How fast.",
                "4 K/min",
                required=True,
            ),
            Key(
                "to",
                Amount("temperature", "-20 degC", "600 degC"),
                "Down to where.",
                "80 degC",
                required=True,
            ),
            Key(
                "band",
                Amount("temperature_difference", "0 K", "500 K", above=True),
                "Distance above the set-point that asks for 100 %.",
                "10 K",
                required=True,
            ),
        ),
        makes=Ramp,
    ),
    Section(
        "call",
        "A condition that asks for cooling, and the highest stage that it allows.",
        (
            Key("when", Phrase(), "The condition.", "full_call", required=True),
            Key("allows", Ref(), "The highest stage that it allows.", "full", required=True),
            _CIRCUITS,
        ),
        makes=Call,
    ),
    Section(
        "demand",
        "A percent signal that asks for cooling; each stage has the percentage from which it is allowed.",
        (
            Key("demand", Ref(), "A percent input or a ramp.", "zone_ramp", required=True, into="of"),
            Key(
                "thresholds",
                One("thresholds"),
                "Stage and percentage, rising.",
                "{dosing: 2 %, full: 90 %}",
                required=True,
            ),
            Key(
                "hysteresis",
                Amount("percent", "0 %", "50 %"),
                "How far below its threshold a stage is given up.",
                "1 %",
                default="1 %",
            ),
            _CIRCUITS,
        ),
        makes=Demand,
    ),
    Section(
        "thresholds",
        "Every key names a stage.",
        (),
        others=Key(
            "STAGE",
            Amount("percent", "0 %", "100 %", above=True),
            "Percentage from which it is allowed.",
            "2 %",
        ),
    ),
    Section(
        "permissive",
        "A condition without which water valves are shut at once. It is no safety function.",
        (
            Key("name", Text(), "Name for people.", "sweep air", required=True),
            Key("needs", Phrase(), "The condition.", "air_pressure_ok", required=True),
            Key(
                "for",
                Either((Words(("all water",)), Refs())),
                (
                    "The water valves: all, or a list; a name without its circuit means that valve of every "
                    "circuit."
                ),
                "all water",
                required=True,
                into="water",
            ),
        ),
        makes=Permissive,
    ),
    Section(
        "trip",
        (
            "A condition that ends cooling, by every circuit's finish, and latches until reset. It is no "
            "safety function."
        ),
        (
            Key("name", Text(), "Name for people.", "steam back-pressure", required=True),
            Key("when", Phrase(), "The condition.", "upper.pressure > 7 barg for 0.2 s", required=True),
            Key("reset", Phrase(), "What resets it.", "reset_button", required=True),
        ),
        makes=Trip,
    ),
)
