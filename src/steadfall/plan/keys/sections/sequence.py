"""The keys of the sequence: scan, stages, doses, the finish, circuits.

Rule of this file: data only.
"""

from __future__ import annotations

from steadfall.plan import model
from steadfall.plan.keys.kinds import (
    Either,
    One,
    Phrase,
    Ref,
    Time,
    Words,
    may,
    must,
    section,
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
)
