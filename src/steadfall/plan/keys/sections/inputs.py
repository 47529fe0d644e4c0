"""The keys of what the controller is told: settings, inputs, ramps, calls.

Rule of this file: data only.
"""

from __future__ import annotations

from steadfall.dimensions import DIFFERENCES
from steadfall.plan import model
from steadfall.plan.keys.held import Ends, Instead, Margin, Rooted, Sensed
from steadfall.plan.keys.kinds import (
    Amount,
    Either,
    Measure,
    One,
    Pattern,
    Phrase,
    Ref,
    Refs,
    Span,
    Time,
    Words,
    may,
    must,
    section,
)
from steadfall.plan.keys.naming import NAME

SETTABLE = ("time", "temperature", "temperature_difference", "pressure", "percent", "mass_flow")
_SENSED = ("temperature", "temperature_difference", "pressure", "percent", "mass_flow")
_KINDS = {name: "flow" if name == "mass_flow" else name for name in (*model.DIGITAL, *_SENSED)}
_MARGIN = Pattern(
    r"(?P<value>-?\d+(\.\d+)?( \S+)?)",
    "a number as the controller is handed it: in mA, in V, of counts, or a value in its unit",
    Margin,
)
_CIRCUITS = may(
    "circuits", Refs(), "The circuits it is for; all that have the stage, where left out.", "[upper, lower]"
)

SECTIONS = (
    section(
        "setting",
        model.Setting,
        "A number that may be changed on the panel, between two ends. Its name then stands wherever the "
        "keys below name a setting, or a condition has a time or compares with a value. The "
        "controller keeps it within its ends; a level counts at once, a time while every circuit is idle.",
        must("default", Measure(SETTABLE), "What it is until somebody changes it.", "0.8 s", into="preset"),
        must("adjustable", Span(SETTABLE), "Its ends.", "0.3 s .. 3 s", into="span"),
    ),
    section(
        "input",
        model.Input,
        "A signal into the controller.",
        must(
            "kind",
            Words(tuple(_KINDS.values()), tuple(_KINDS)),
            "What it is. A `button` is pressed while it is not as `normal` says.",
            "temperature",
            control=True,
        ),
        may(
            "range",
            Span(_SENSED),
            "Ends of the sensor, in the unit that the controller sees.",
            "0 .. 250 degC",
            into="span",
            control=True,
        ),
        may(
            "raw",
            Pattern(
                r"(?P<low>-?\d+(\.\d+)?) \.\. (?P<high>-?\d+(\.\d+)?)( (?P<unit>mA|V))?",
                "two numbers, in mA, in V, or of counts",
                Ends,
            ),
            "What the controller is handed at the two ends of the range; it works the value out. Where "
            "nothing is said it is handed the value.",
            "4 .. 20 mA",
            into="raw_given",
            control=True,
        ),
        may(
            "square_root",
            Pattern(r"cut off below (?P<value>.+)", "'cut off below' and a flow", Rooted),
            "What is handed over is the pressure drop of an orifice, which goes with the square of the flow: "
            "the controller takes the root. Below the cut-off it reads no flow, for there the root shows "
            "mostly noise.",
            "cut off below 2 kg/min",
            into="rooted",
            control=True,
        ),
        may(
            "measures",
            Pattern(
                rf"(?P<of>{NAME})( (?P<bound>below|above) (?P<value>.+))?",
                "a quantity; of a switch, where that is more than on or off, also below or above and a value",
                Sensed,
            ),
            "The quantity of the plant behind it, such as `drum`, `upper.water_flow` or "
            "`works_air.pressure`; the one of the same name, where there is one.",
            "drum above 95 degC",
            into="sentence",
        ),
        may(
            "hysteresis",
            Measure(tuple(dict.fromkeys(DIFFERENCES.values()))),
            "How far the quantity must go back until a switch that measures is off again.",
            "3 K",
        ),
        may("lag", Amount("time", "0 s", "1 h"), "First-order lag of the sensor.", "4 s", default="0 s"),
        may(
            "noise",
            Measure(tuple(dict.fromkeys(DIFFERENCES.values()))),
            "Standard deviation of a normal disturbance that the bench adds to each value it writes, within "
            "the range; at most a tenth of it. Predictions, proofs and the controller's text leave it out.",
            "0.3 K",
            into="noise_given",
        ),
        may(
            "normal",
            Either((Words(("on", "off")), Measure(_SENSED))),
            "Its value in ordinary running; `off`, or the low end of the range.",
            "on",
            control=True,
        ),
        may(
            "filter",
            Time("10 ms", "1 h"),
            "Time of a first-order filter in the controller, at least the longest scan. What a broken wire "
            "shows is not remembered.",
            "2 s",
            into="filter_given_ms",
            control=True,
        ),
        may(
            "bad_below",
            _MARGIN,
            "What is handed over by a sensor out of its range, below its lower end: this or less. Default: "
            "1.25 % of the range below it.",
            "3.6 mA",
            into="below",
            control=True,
        ),
        may(
            "bad_above",
            _MARGIN,
            "The same above its upper end: this or more. Default: 3.125 % of the range above it.",
            "21 mA",
            into="above",
            control=True,
        ),
        may(
            "when_bad",
            Either(
                (
                    Words(("hold the climb", "trip")),
                    Pattern(
                        r"go on with (?P<value>.+)",
                        "'hold the climb', 'trip', or 'go on with' a value",
                        Instead,
                    ),
                )
            ),
            "What happens while the sensor is out of its range: no climb that looks at it (where nothing is "
            "said), a trip, or everything goes on with a value in its place.",
            "go on with 180 degC",
            into="bad",
            control=True,
        ),
        may("reset", Phrase(), "What resets the trip of a bad sensor.", "reset_button", control=True),
    ),
    section(
        "ramp",
        model.Ramp,
        "A set-point that falls at a rate, and the percent of cooling that the distance to it asks for.",
        must("of", Ref(), "The temperature input that is to follow the ramp.", "zone_temperature"),
        must("when", Phrase(), "While it holds, the set-point falls.", "cool_call"),
        must("fall", Amount("fall_rate", "0 K/h", "100 K/s", above=True), "How fast.", "4 K/min"),
        must("to", Amount("temperature", "-20 degC", "600 degC", set=True), "Down to where.", "80 degC"),
        must(
            "band",
            Amount("temperature_difference", "0 K", "500 K", above=True),
            "Distance above the set-point that asks for 100 %.",
            "10 K",
        ),
    ),
    section(
        "call",
        model.Call,
        "A condition that asks for cooling, and the highest stage that it allows.",
        must("when", Phrase(), "The condition.", "full_call"),
        must("allows", Ref(), "The highest stage that it allows.", "full"),
        _CIRCUITS,
    ),
    section(
        "button_call",
        model.ButtonCall,
        "A call by push-buttons: it lasts from a press of one until the other is pressed, a trip, or the "
        "loss of a permissive for all water. Stop wins; a press that lasts counts once.",
        must("start", Ref(), "The button that begins it.", "start_button"),
        must(
            "stop",
            Ref(),
            "The button that ends it; wired normally closed (`normal: on`) a broken wire ends it too.",
            "stop_button",
        ),
        must("allows", Ref(), "The highest stage that it allows.", "full"),
        _CIRCUITS,
    ),
    section(
        "demand",
        model.Demand,
        "A percent signal that asks for cooling; each stage has the percentage from which it is allowed.",
        must("demand", Ref(), "A percent input or a ramp.", "zone_ramp", into="of"),
        must("thresholds", One("thresholds"), "Stage and percentage, rising.", "{dosing: 2 %, full: 90 %}"),
        may(
            "hysteresis",
            Amount("percent", "0 %", "50 %", set=True),
            "How far below its threshold a stage is given up.",
            "1 %",
            default="1 %",
        ),
        _CIRCUITS,
    ),
    section(
        "thresholds",
        None,
        "Every key names a stage.",
        others=may(
            "STAGE",
            Amount("percent", "0 %", "100 %", above=True, set=True),
            "Percentage from which it is allowed.",
            "2 %",
        ),
    ),
)
