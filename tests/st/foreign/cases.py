"""Programs as technicians write them: for each what is wanted, an equal and a subtly wrong version, the
verdicts.

Every program is invented for these tests. A requirement is a sentence of the plan language over its own
names.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from attrs import field, frozen

from steadfall.logic.network import Network
from steadfall.plan.model import EveryOpening, Never
from steadfall.plan.model.condition import And, Condition, Not, Or, Signal
from steadfall.st.read.whole import read_st

HERE = Path(__file__).parent
HOLDS, BROKEN = "holds", "broken"


def on(name: str) -> Condition:
    return Signal(name)


def never(*parts: Condition) -> Never:
    return Never(And(parts) if len(parts) > 1 else parts[0], "")


def opening(valve: str, least_ms: int) -> EveryOpening:
    return EveryOpening(valve, least_ms, None, False, "")


@frozen
class Case:
    """A program in three versions; `verdicts` tells for each requirement what it is of the equal and the
    wrong one.
    """

    name: str
    style: str
    verdicts: Mapping[str, tuple[Never | EveryOpening, str, str]]
    names: Mapping[str, str] = field(factory=dict)  # of the versions with direct addresses

    def network(self, version: str) -> Network:
        """`reference`, `equal` or `wrong`."""
        path = HERE / self.name / f"{version}.st"
        text = path.read_text(encoding="ascii")
        return read_st(text, path.name, self.names if "VAR call AT" not in text else {})


CASES = (
    Case(
        "latches",
        "set and reset latches",
        {"no water without air": (never(on("mist"), Not(on("air_ok"))), HOLDS, BROKEN)},
    ),
    Case(
        "step_counter",
        "step counter with CASE, one timer for all steps",
        {
            "one water valve at a time": (never(on("mist"), on("flood")), HOLDS, HOLDS),
            "every sweep lasts": (opening("sweep", 500), HOLDS, BROKEN),
        },
    ),
    Case(
        "two_timers",
        "two timers that reset each other and run free",
        {"no dose is clipped": (opening("mist", 300), BROKEN, BROKEN)},
    ),
    Case(
        "one_shots",
        "chain of edges and pulses",
        {"one after the other": (never(on("blow"), on("drain")), BROKEN, BROKEN)},
    ),
    Case(
        "booleans_only",
        "a bit for each state",
        {
            "never two": (never(on("mist"), on("flood")), HOLDS, HOLDS),
            "water is swept": (never(on("mist"), Not(on("sweep"))), HOLDS, HOLDS),
        },
    ),
    Case(
        "shortest_opening",
        "a pulse holds an opening",
        {"no water without air": (never(on("mist"), Not(on("air_ok"))), HOLDS, BROKEN)},
    ),
    Case(
        "dose_counter",
        "counting edges in a block, a loop",
        {"either or": (never(on("mist"), on("full")), HOLDS, HOLDS)},
    ),
    Case(
        "hysteresis",
        "set and reset in separate lines on a measured value",
        {"either or": (never(on("mist"), on("flood")), HOLDS, HOLDS)},
    ),
    Case(
        "time_windows",
        "windows on a running clock, direct addresses",
        {"never both": (never(on("mist"), on("flood")), HOLDS, HOLDS)},
        {"%IX0.0": "call", "%QX0.0": "mist", "%QX0.1": "flood"},
    ),
    Case(
        "nested_choice",
        "a function, ranges in a CASE",
        {
            "either or": (never(on("mist"), on("flood")), HOLDS, BROKEN),
            "not without a call": (never(Or((on("mist"), on("flood"))), Not(on("call"))), HOLDS, HOLDS),
        },
    ),
)
