"""The keys of main valves and pumps: what must be open or run before a supply is there.

Rule of this file: data only; see `plan.keys.sections.equipment`.
"""

from __future__ import annotations

from steadfall.constants import ATMOSPHERE
from steadfall.plan import model
from steadfall.plan.keys.kinds import Amount, Either, Key, One, Phrase, Ref, Time, Words, may, must, section

NEEDED = "when needed"


def _when(name: str, doc: str, example: str) -> Key:
    kind = Either((Words((NEEDED,), (None,)), Phrase()))
    return may(name, kind, doc, example, default=NEEDED, into="when", control=True)


def _lead(doc: str) -> Key:
    kind = Time("0 s", "1 h", counted=True, set=True)
    return may("lead", kind, doc, "5 s", default="0 s", into="lead_ms", control=True)


def _lag(doc: str) -> Key:
    kind = Time("0 s", "1 h", counted=True, set=True)
    return may("lag", kind, doc, "10 s", default="0 s", into="lag_ms", control=True)


SECTIONS = (
    section(
        "main_valve",
        model.MainValve,
        "A main valve: all that is drawn from a supply passes it, whichever circuit draws. In water it is "
        "shut on a trip, and while a permissive for all water does not hold.",
        must("in", Ref(), "The supply that it is in.", "works_water", into="supply", control=True),
        must(
            "kv",
            Amount("kv", "0 m3/h", "2000 m3/h", above=True),
            "Flow coefficient when fully open.",
            "12 m3/h",
            tolerance="kv",
            of_plant=True,
            shows_plant=True,
        ),
        must(
            "travel",
            Amount("time", "1 ms", "10 min"),
            "Time from shut to open.",
            "4 s",
            tolerance="travel",
            of_plant=True,
        ),
        _when(
            "open",
            "While what it is open: `when needed`, from the call of a circuit on that draws on its supply to "
            "the last step in which it does; or a condition.",
            "when needed",
        ),
        _lead("A circuit begins only once it has been open for so long."),
        _lag("So long it stays open after that."),
        may(
            "without_signal",
            Words(("shut", "open", "stays")),
            "How its spring puts it where it has no signal or no power. With `open` its output is energised "
            "to shut it. `stays`: a motor moves it both ways, and without power it stands where it is.",
            "shut",
            default="shut",
            control=True,
        ),
        may(
            "feedback",
            One("feedback"),
            "Its limit switch.",
            "{input: water_main_is_open, within: 5 s}",
            control=True,
        ),
    ),
    section(
        "pump",
        model.Pump,
        "A pump or compressor that must run for a supply. For water it stops on a trip, and while a "
        "permissive for all water does not hold.",
        must("for", Ref(), "The supply that it is for.", "works_water", into="supply", control=True),
        must(
            "run_up",
            Amount("time", "1 ms", "10 min"),
            "Time from standstill to the supply's pressure, and back.",
            "6 s",
            of_plant=True,
            shows_plant=True,
        ),
        may(
            "pressure_without",
            Either((Words(("atmosphere",), (ATMOSPHERE,)), Amount("pressure", "0.05 bara", "40 barg"))),
            "Pressure of the supply while it stands still.",
            "1.5 barg",
            default="atmosphere",
        ),
        _when(
            "run",
            "While what it runs: `when needed`, from the call of a circuit on that draws on its supply to "
            "the last step in which it does; or a condition.",
            "when needed",
        ),
        _lead("A circuit begins only once it has run for so long."),
        _lag("So long it runs on after that."),
    ),
)
