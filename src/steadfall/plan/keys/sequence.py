"""The keys of what the controller is to do.

Rule of this file: data only.
"""

from __future__ import annotations

from steadfall.dimensions import DIFFERENCES
from steadfall.plan import model
from steadfall.plan.keys.held import Due, Ends, Instead, Margin, Sensed
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
    Text,
    Time,
    Words,
    may,
    must,
    section,
)
from steadfall.plan.keys.naming import NAME

SETTABLE = ("time", "temperature", "temperature_difference", "pressure", "percent")
_SENSED = ("temperature", "temperature_difference", "pressure", "percent")
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
        "scan",
        model.Scan,
        "What the controller promises about its scan.",
        must("nominal", Time("1 ms", "10 s"), "Usual time from scan to scan.", "20 ms", into="nominal_ms"),
        must("longest", Time("1 ms", "10 s"), "Longest time from scan to scan.", "40 ms", into="longest_ms"),
        may(
            "timer_step",
            Time("1 ms", "10 s"),
            "Every preset is a multiple of it, as the controller's timers count in it.",
            "10 ms",
            default="1 ms",
            into="timer_step_ms",
        ),
    ),
    section(
        "stage",
        model.Stage,
        "One stage of cooling. Every further key names a valve and says what it does; a valve not "
        "named is shut.",
        must("name", Ref(), "Name of the stage.", "dosing"),
        may(
            "climb",
            Phrase(),
            "When the sequence may climb to the next stage (not on the last).",
            "after 45 s and outlet_temperature < 140 degC",
        ),
        others=may(
            "VALVE",
            Either((Words(("open", "shut")), One("share"), One("dose"))),
            "What the valve does in this stage.",
            "{open: 0.8 s, shut: 2.4 s}",
            into="actions",
        ),
    ),
    section(
        "dose",
        model.Dose,
        "A valve that opens and shuts in turn.",
        must(
            "open",
            Time("1 ms", "1 h", counted=True, set=True),
            "How long it is open.",
            "0.8 s",
            into="open_ms",
        ),
        must(
            "shut",
            Time("1 ms", "1 h", counted=True, set=True),
            "How long it is shut.",
            "2.4 s",
            into="shut_ms",
        ),
        may(
            "clock",
            Words(("restart", "free")),
            "`restart`: doses begin with the stage; `free`: a shared clock, which may clip the first.",
            "restart",
            default="restart",
        ),
        may("for", Time("10 ms", "24 h", counted=True), "How long it does so.", "2 s", into="for_ms"),
        may(
            "then",
            Either((Words(("open", "shut")), One("pulses"))),
            "What it does after that, to the end of the stage.",
            "open",
        ),
    ),
    section(
        "pulses",
        model.Pulses,
        "The times by which a valve doses after `for`: the part in which it then is has them at once.",
        must("open", Time("1 ms", "1 h", counted=True), "How long it is open.", "0.4 s", into="open_ms"),
        must("shut", Time("1 ms", "1 h", counted=True), "How long it is shut.", "4 s", into="shut_ms"),
    ),
    section(
        "share",
        model.Share,
        "Time-proportioned: in each cycle the valve is open for as many percent as the signal says.",
        must("share_of", Ref(), "A percent input or a ramp.", "zone_ramp", into="of"),
        must("cycle", Time("10 ms", "1 h", counted=True), "Length of a cycle.", "8 s", into="cycle_ms"),
    ),
    section(
        "finish_step",
        model.FinishStep,
        "One step of the finish. Every further key names a valve that is open in it.",
        must("name", Ref(), "Name of the step.", "blow_out"),
        must(
            "for", Time("10 ms", "24 h", counted=True, set=True), "How long it lasts.", "20 s", into="for_ms"
        ),
        others=may(
            "VALVE", Words(("open", "shut")), "What the valve does in this step.", "open", into="actions"
        ),
    ),
    section(
        "circuit",
        model.Circuit,
        "A circuit of a type, on its host.",
        must("type", Ref(), "Its circuit type.", "platen_circuit", control=True),
        must(
            "host",
            Ref(),
            "The body or gas stream that it cools.",
            "upper_platen",
            of_plant=True,
            shows_plant=True,
        ),
        may(
            "delay_doses",
            Time("0 s", "1 h", counted=True, set=True),
            "By how much its doses lag, so that circuits take turns.",
            "1.6 s",
            default="0 s",
            into="delay_doses_ms",
            control=True,
        ),
    ),
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
            Words((*model.DIGITAL, "temperature", "temperature_difference", "pressure", "percent")),
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
            "measures",
            Pattern(
                rf"(?P<of>{NAME})( (?P<bound>below|above) (?P<value>.+))?",
                "a quantity; of a switch, where that is more than on or off, also below or above and a value",
                Sensed,
            ),
            "The quantity of the plant behind it; the one of the same name, where there is one.",
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
    section(
        "permissive",
        model.Permissive,
        "A condition without which water valves are shut at once. It is no safety function.",
        must("name", Text(), "Name for people.", "sweep air"),
        must("needs", Phrase(), "The condition.", "air_pressure_ok"),
        must(
            "for",
            Either((Words(("all water",)), Refs())),
            "The water valves: all, or a list; a name without its circuit means that valve of every circuit.",
            "all water",
            into="water",
        ),
    ),
    section(
        "done",
        model.Done,
        "What ends a cool-down while it is called: every circuit goes to its finish, and no call counts "
        "until none is left. Without it the call alone ends it.",
        must("when", Phrase(), "The condition.", "splice_temperature < 70 degC for 30 s"),
    ),
    section(
        "hand",
        model.Hand,
        "Hand mode. Its beginning cuts every call; once every circuit is idle each valve named is moved by "
        "its input. Permissives, trips, shortest times and exclusions stay in force: `exclusive`, `never` of "
        "two valves, a drain with water, an outlet that is shut. It ends in idle with these valves at rest, "
        "and their circuits run their finish.",
        must("while", Phrase(), "While it holds, valves are in hand.", "hand_key", into="when"),
        others=may(
            "CIRCUIT.VALVE",
            Ref(),
            "The switch, or the button held to run, that opens this valve.",
            "upper_mist_hand",
            into="valves",
        ),
    ),
    section(
        "valve_test",
        model.ValveTest,
        "A test of valves from idle, one after another: each is moved from where it rests, and back. What "
        "it needs is done first, in the pause before: its outlet opens, what excludes it shuts, its main "
        "valve opens and its pump runs. It begins with a press while every circuit is idle, nothing calls, "
        "every permissive holds and nothing has tripped or is in hand; it ends at once when that is no "
        "longer so, a stop button or the same button is pressed. Then the circuits run their finish. "
        "`CIRCUIT.VALVE.failed_test` says that a valve's limit switch disagreed.",
        must("start", Ref(), "The button that begins it.", "test_button"),
        must(
            "valves",
            Refs(),
            "The valves, in their order; a name without its circuit means that valve of every circuit.",
            "[sweep, mist, flood]",
            into="named",
        ),
        must(
            "for",
            Time("10 ms", "1 h", counted=True),
            "How long each stands moved. At least its travel, its shortest time and what its limit switch "
            "is allowed.",
            "3 s",
            into="for_ms",
        ),
        must(
            "pause",
            Time("10 ms", "1 h", counted=True),
            "How long none is moved before each, and after the last; at least as long, and as the lead of "
            "what feeds them.",
            "2 s",
            into="pause_ms",
        ),
    ),
    section(
        "hold",
        model.Hold,
        "What holds the sequence: meanwhile no circuit climbs, and a climb's `after` counts from 0 once that "
        "is over. Doses go on; what ends or cuts cooling does so as ever. To shut water too, give its valves "
        "a permissive by name.",
        must("while", Phrase(), "The condition.", "hold_switch", into="when"),
    ),
    section(
        "step_on",
        model.StepOn,
        "A button by which a person steps on: with the press a circuit climbs before its condition holds, "
        "one stage at most, where a call allows it, and not on hold.",
        must("button", Ref(), "The button.", "step_button"),
        must("from", Refs(), "The stages that may be left so.", "[dosing]", into="stages"),
        may(
            "circuits",
            Refs(),
            "The circuits it is for; all that have one of the stages, where left out.",
            "[upper, lower]",
        ),
    ),
    section(
        "trip",
        model.Trip,
        "A condition that ends cooling, by every circuit's finish, and latches until reset. It is no "
        "safety function.",
        must("name", Text(), "Name for people.", "steam back-pressure"),
        must("when", Phrase(), "The condition.", "upper.pressure > 7 barg for 0.2 s"),
        must("reset", Phrase(), "What resets it.", "reset_button"),
    ),
    section(
        "alarm",
        model.Alarm,
        "A condition that a person must answer to. It stands until it is gone and has been acknowledged.",
        must("name", Text(), "Name for people.", "drum hot"),
        must("when", Phrase(), "The condition.", "drum_temperature > 200 degC for 10 s"),
        may(
            "priority",
            Words(("high", "medium", "low")),
            "How soon a person must act, as the alarm list has it.",
            "high",
            default="medium",
        ),
    ),
    section(
        "output",
        model.Output,
        "A lamp, horn, pump or release: on while its condition holds. Outputs come last in the scan.",
        must("on", Phrase(), "While it holds, the output is on.", "running and not tripped"),
        may(
            "on_after",
            Time("0 s", "1 h", counted=True, set=True),
            "So long it must have held before.",
            "2 s",
            default="0 s",
            into="on_after_ms",
        ),
        may(
            "off_after",
            Time("0 s", "1 h", counted=True, set=True),
            "So long the output stays on after it.",
            "30 s",
            default="0 s",
            into="off_after_ms",
        ),
        may(
            "flashes",
            Time("0 s", "1 min", counted=True, set=True),
            "Meanwhile it is so long on, so long off, in turn; steady with 0 s.",
            "0.5 s",
            default="0 s",
            into="flash_ms",
        ),
    ),
    section(
        "counter",
        model.Counter,
        "Counts openings or hours, over power-up too. Whole hours; it stands at 9999999.",
        may("openings_of", Phrase(), "What is counted: each time that it opens, or goes on.", "upper.mist"),
        may("hours_of", Phrase(), "What is counted: the hours for which it holds.", "running"),
        may(
            "due",
            Pattern(r"(?P<count>[1-9]\d{0,6})(?P<hours> h)?", "a number of openings, or hours", Due),
            "From where on `NAME.due` is true, which alarms and outputs may name.",
            "500000",
            into="due_given",
        ),
        must("reset", Phrase(), "While it holds, the counter is 0.", "service_button"),
        one_of=(("openings_of", "hours_of"),),
    ),
)
