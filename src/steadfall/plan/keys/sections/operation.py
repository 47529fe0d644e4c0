"""The keys of guarding and operating: permissives, trips, hand mode, hold, alarms, outputs, counters.

Rule of this file: data only.
"""

from __future__ import annotations

from steadfall.plan import model
from steadfall.plan.keys.held import Due
from steadfall.plan.keys.kinds import (
    Either,
    Pattern,
    Phrase,
    Ref,
    Refs,
    Text,
    Time,
    Words,
    may,
    must,
    section,
)

SECTIONS = (
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
