"""What is asked for a new plan: one row each, with what may be answered.

Rule of this file: a table. Whatever is not answered is typical, and the plan says of it that it is.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import frozen


@frozen
class Question:
    """A question: its heading, its name, its words, and what is answered: one of some words, a quantity of a
    dimension, a count, or (neither) a line of text. `usual` is the answer of whoever does not care; "": it
    hangs on others.
    """

    group: str
    name: str
    words: str
    usual: str = ""
    options: tuple[tuple[str, str], ...] = ()
    dimension: str = ""
    most: int = 0  # of a count


YES_NO = (("yes", "yes"), ("no", "no"))
MATERIALS = tuple((name, name) for name in ("carbon steel", "stainless steel", "cast iron", "aluminium"))
EQUIPMENT = (
    ("press", "a press: two heated platens and what lies between them"),
    ("mould", "a mould or a block with drilled channels"),
    ("barrel", "a barrel or cylinder with channels in its wall"),
    ("roll", "a roll with drilled passes"),
    ("oven", "an oven: a coil in the air that a fan drives"),
    ("vessel", "a pressure vessel: a coil in its gas"),
)
CALLS = (
    ("switch", "a switch, or a contact of another controller"),
    ("buttons", "a button that starts and a button that stops"),
    ("percent", "a percentage from a temperature controller"),
)
WHAT, WATER, CHANNELS, VALVES, WHO, NEVER = (
    "The equipment",
    "The supplies",
    "What is drilled or coiled",
    "The valves",
    "Who calls",
    "What must not happen",
)

ROWS = (
    Question(WHAT, "equipment", "What is cooled", "press", EQUIPMENT),
    Question(WHAT, "title", "Its name, for the head of every paper"),
    Question(WHAT, "material", "What it is made of", "carbon steel", MATERIALS),
    Question(WHAT, "mass", "Mass of the metal in all", dimension="mass"),
    Question(WHAT, "load", "Mass of what lies in it and is cooled with it; 0 kg: nothing", dimension="mass"),
    Question(WHAT, "start", "Temperature at which cooling begins", "150 degC", dimension="temperature"),
    Question(WATER, "water", "Pressure of the water", "4 barg", dimension="pressure"),
    Question(WATER, "cold", "Temperature of the water", "15 degC", dimension="temperature"),
    Question(WATER, "hot_well", "Is there warm return water for the first doses", "no", YES_NO),
    Question(WATER, "air", "Is there air to blow the water out", "yes", YES_NO),
    Question(WATER, "hall", "Temperature of the hall", "22 degC", dimension="temperature"),
    Question(CHANNELS, "circuits", "Circuits that are cooled one beside the other", most=4),
    Question(CHANNELS, "bore", "Bore of a channel or tube", dimension="length"),
    Question(CHANNELS, "length", "Length of a channel from inlet to outlet", dimension="length"),
    Question(CHANNELS, "passes", "Channels side by side in a circuit", most=24),
    Question(CHANNELS, "rated", "Rated pressure of the weakest part", "10 barg", dimension="pressure"),
    Question(VALVES, "flood", "Is there a second, large water valve", "yes", YES_NO),
    Question(VALVES, "drain", "Does a valve let out what is left", "yes", YES_NO),
    Question(VALVES, "limit_switch", "Does a switch tell that the large valve is open", "no", YES_NO),
    Question(WHO, "calls", "Who asks for cooling", "switch", CALLS),
    Question(NEVER, "goal", "Temperature at which it is done", "60 degC", dimension="temperature"),
    Question(NEVER, "within", "Time for it", "60 min", dimension="time"),
    Question(NEVER, "fall", "It must not cool faster than", dimension="fall_rate"),
    Question(
        NEVER, "shock", "No channel's wall may be colder than the metal by", "", (), "temperature_difference"
    ),
)
QUESTIONS: Mapping[str, Question] = {row.name: row for row in ROWS}
