"""The keys of what a good cool-down keeps to, what must hold for ever, and the wiring.

Rule of this file: data only.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.plan import model
from steadfall.plan.keys.held import Aim, Mishap, Openings
from steadfall.plan.keys.kinds import (
    Bound,
    Either,
    Many,
    Measure,
    One,
    Pattern,
    Phrase,
    Phrases,
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
from steadfall.plan.keys.sections.inputs import SETTABLE
from steadfall.plan.model.upset import WITH_VALUE, Wrong

# what a quantity of the plant can be
ANY = "temperature", "temperature_difference", "pressure", "percent", "mass_flow", "mass", "power", "stress"
MEASURED, BROKEN = "measured", "broken wire"  # of a sensor in a scenario
PRESSED = "pressed"  # of a button in a scenario
MISHAPS = tuple(wrong.value for wrong in Wrong if wrong not in (*WITH_VALUE, Wrong.MEASURES))
CUT = "a permissive or trip ends it"
POWER_CUT = "power cut"
# What can be wrong with an input, and with which kinds of input: "switch", or "measured" for every other.
FAULTS: Mapping[str, str] = {
    "stuck on": "switch",
    "stuck off": "switch",
    "bounces": "switch",
    "at its lower end": "measured",
    "at its upper end": "measured",
}
FAULT = rf"(?P<cut>{POWER_CUT})|(?P<signal>{NAME}) (?P<what>{'|'.join(FAULTS)})"

SECTIONS = (
    section(
        "limit",
        model.Limit,
        "What a good cool-down keeps to: a bound on a quantity of the plant or on its rate.",
        must("of", Ref(), "The quantity.", "splice"),
        may("at most", Measure(ANY), "Its upper bound.", "6 barg", into="at_most"),
        may("at least", Measure(ANY), "Its lower bound.", "20 degC", into="at_least"),
        may(
            "fall_rate",
            Bound("fall_rate"),
            "A bound on how fast a temperature falls, or a difference.",
            "at most 4 K/min",
        ),
        may(
            "rise_rate",
            Bound("fall_rate"),
            "A bound on how fast it rises: the spread of a body in segments, say.",
            "at most 3 K/min",
        ),
        may(
            "between",
            Span(("temperature",)),
            "The bound holds only in this range of the same quantity.",
            "160 .. 70 degC",
        ),
        may(
            "over",
            Time("10 ms", "24 h"),
            "Sliding window of a rate; 1 s for K/s, 60 s for K/min, 1 h for K/h where left out.",
            "60 s",
        ),
    ),
    section(
        "goal",
        model.Goal,
        "What the cool-down is for.",
        must(
            "goal",
            Pattern(
                rf"(?P<of>{NAME}) (?P<bound>below|above) (?P<value>.+)",
                "a quantity, below or above, and a value",
                Aim,
            ),
            "A quantity below or above a value.",
            "splice below 70 degC",
            into="sentence",
        ),
        must("within", Time("1 s", "240 h"), "The time for it.", "40 min", into="within_ms"),
    ),
    section(
        "tolerance",
        model.Tolerance,
        "How far a number of the plan may be off, for `predict --band`.",
        must(
            "of",
            Ref(),
            "The number: `works_water.pressure` (a percentage is of the gauge pressure), `ambient`, "
            "`splice.start`, `splice.mass`, `splice.heat_capacity`, `oven_air.fan_flow`, "
            "`upper_platen.splice.conductance` (a link), `platen_circuit.host_conductance`, "
            "`platen_circuit.outlet.kv`, `platen_circuit.mist.kv`, `platen_circuit.mist.travel`.",
            "works_water.pressure",
        ),
        must(
            "within",
            Measure(("percent", "temperature_difference")),
            "So much more or less; equally likely anywhere between.",
            "10 %",
        ),
    ),
    section(
        "accepted",
        model.Accepted,
        "A single failure that may do harm and that nothing notices, and why it is left so. `steadfall "
        "upset` shows the reason in its table; without one the table is not good.",
        must(
            "failure",
            Text(),
            "The failure, as that table calls it, without its moment.",
            "upper.sweep stuck shut",
        ),
        must(
            "because",
            Text(),
            "Why it is left so: who looks, how often, what it costs.",
            "the air is heard at the outlet",
        ),
    ),
    section(
        "scenario",
        model.Scenario,
        "What the inputs do over time.",
        must("steps", Many(("step",)), "What happens when.", "[{at: 0 s, full_call: on}]"),
        may(
            "until",
            Either((Words(("goals",), (None,)), Time("1 s", "240 h"))),
            "When it ends: when every goal is reached and the finish is done, or after a time.",
            "goals",
            default="goals",
            into="until_ms",
        ),
        may(
            "longest",
            Time("1 s", "240 h"),
            "It ends then at the latest.",
            "2 h",
            default="4 h",
            into="longest_ms",
        ),
        may(
            "set",
            One("panel"),
            "Settings that are not at their defaults.",
            "{first_dose: 1.2 s}",
            into="panel",
        ),
    ),
    section(
        "panel",
        None,
        "Every key names a setting.",
        others=may("SETTING", Measure(SETTABLE), "What it is set to.", "1.2 s"),
    ),
    section(
        "step",
        model.Step,
        "A moment of a scenario. Every further key names an input, or the `pressure` or `temperature` of a "
        "supply (`works_air.pressure`), and gives its value from then on. A sensor that is given a value is "
        "faulty: it shows that, whatever the plant does. Or it names a thing and says what goes wrong with "
        "it (docs/upset.md says how far): of a valve (`upper.flood: stuck open`) `stuck open`, `stuck shut`, "
        "`slow`, `leaking`; of a circuit `outlet half blocked`, `outlet blocked`, `scaled`; of a gas stream "
        "`fan stopped`; of a pump `pump stopped`; of `power` `lost`; of an input `sticks`, `bounces` (a "
        "switch), `drifts up`, `drifts down` (a sensor). `working`, `outlet clear`, `fan running`, `pump "
        "running`, `back` and `measured` end it.",
        must("at", Time("0 s", "240 h"), "The time since the start.", "6 min", into="time_ms"),
        others=may(
            "INPUT",
            Either(
                (
                    Words(("on", "off", PRESSED, MEASURED, BROKEN, *MISHAPS)),
                    Measure(("percent", "temperature", "temperature_difference", "pressure")),
                )
            ),
            "Its value from then on. A sensor with a `broken wire` reads as low as it can; `measured`: it "
            "shows what it measures again. A button that is `pressed` is let go again after 0.5 s.",
            "on",
            into="values",
        ),
    ),
    section(
        "never",
        model.Never,
        "A condition that never holds.",
        must(
            "never",
            Phrase(counted=False),
            "The condition.",
            "upper.mist and not upper.sweep",
            into="condition",
        ),
        may("name", Text(), "Its name, for people and for `prove --only`.", "mist needs air", default=""),
    ),
    section(
        "whenever",
        model.Whenever,
        "When one condition holds, another follows.",
        must(
            "whenever",
            Phrase(counted=False),
            "The first condition.",
            "full_call and permitted for 120 s",
            into="condition",
        ),
        must("then", Phrase(counted=False), "What follows.", "upper.flood"),
        may(
            "within",
            Time("0 s", "240 h"),
            "The time for it; 0 s: in the same scan.",
            "1 s",
            default="0 s",
            into="within_ms",
        ),
        may(
            "lasting",
            Time("0 s", "240 h"),
            "How long it then lasts at least.",
            "5 s",
            default="0 s",
            into="lasting_ms",
        ),
        may("name", Text(), "Its name, for people and for `prove --only`.", "mist needs air", default=""),
    ),
    section(
        "every_opening",
        model.EveryOpening,
        "How long each opening of a valve lasts.",
        must("every_opening", Ref(), "The valve.", "upper.mist", into="valve"),
        may("lasts at least", Time("1 ms", "240 h"), "The shortest.", "300 ms", into="least_ms"),
        may("lasts at most", Time("1 ms", "240 h"), "The longest.", "2 s", into="most_ms"),
        may(
            "unless", Words((CUT,), (True,)), "An opening that is cut does not count.", CUT, into="unless_cut"
        ),
        may("name", Text(), "Its name, for people and for `prove --only`.", "mist needs air", default=""),
    ),
    section(
        "at_most",
        model.AtMost,
        "How many openings of a valve there are in any stretch of time.",
        must(
            "at_most",
            Pattern(
                rf"(?P<count>\d{{1,9}}) openings of (?P<valve>{NAME}) in (?P<time>.+)",
                "a count, the valve and a time",
                Openings,
            ),
            "The count, the valve, the time.",
            "25 openings of upper.mist in 60 s",
            into="sentence",
        ),
        may("name", Text(), "Its name, for people and for `prove --only`.", "mist needs air", default=""),
    ),
    section(
        "exclusive",
        model.Exclusive,
        "At most one of several conditions holds at a time.",
        must("exclusive", Phrases(), "The conditions.", "[upper.mist, upper.flood]", into="conditions"),
        may("name", Text(), "Its name, for people and for `prove --only`.", "mist needs air", default=""),
    ),
    section(
        "fault",
        model.Fault,
        "Something that goes wrong outside the controller, and lasts; a power cut may come before any scan.",
        must(
            "fault",
            Pattern(FAULT, f"an input and one of: {', '.join(FAULTS)}; or '{POWER_CUT}'", Mishap),
            "What goes wrong: an input of the plan and what is the matter with it, or `power cut`.",
            "upper.flood_is_open stuck off",
            into="sentence",
        ),
        may(
            "may_break",
            Refs(),
            "Requirements that need not hold under this fault, by the names that `prove` gives them; a "
            "circuit or valve stands for all of its own.",
            "[upper.mist.shortest_shut]",
        ),
    ),
    section(
        "terminal",
        model.Terminal,
        "Where a signal is wired and addressed.",
        may("terminal", Text(), "Terminal.", "X4.1", default=""),
        may("address", Text(), "Address in structured text.", "'%QX0.0'", default=""),
        may("modbus", Text(), "Modbus address.", "coil 3", default=""),
        may("opcua", Text(), "OPC UA node.", "ns=2;s=upper.mist", default=""),
    ),
    section(
        "wiring",
        None,
        "Every key names a signal.",
        others=may("SIGNAL", One("terminal"), "Its wiring.", "{terminal: X4.1}"),
        tall=True,
    ),
    section(
        "io_list",
        model.Io,
        "The list that came with the panel drawing.",
        must("list", Text(), "The file, CSV or XLSX.", "panel.csv", into="list_file"),
        may("columns", One("columns"), "Which column holds what.", "{signal: Tag, terminal: Terminal}"),
    ),
    section(
        "columns",
        None,
        "The column headings of the list.",
        may("signal", Text(), "Heading of the signals.", "Tag", default="signal"),
        may("terminal", Text(), "Heading of the terminals.", "Terminal", default="terminal"),
        may("address", Text(), "Heading of the structured-text addresses.", "Address", default="address"),
        may("modbus", Text(), "Heading of the Modbus addresses.", "Modbus", default="modbus"),
        may("opcua", Text(), "Heading of the OPC UA nodes.", "Node", default="opcua"),
        may("kind", Text(), "Heading of the kinds, such as DI, DO, AI.", "Type", default="kind"),
    ),
)
