"""The cause-and-effect matrix: rows are causes, columns effects, as in IEC 62881.

Rule of this file: the cells say what the sequence does in the scan in which the cause is true; the tests hold
them against the network.
"""

from __future__ import annotations

from collections.abc import Callable

from attrs import frozen

from steadfall.lists.sheet import Sheet
from steadfall.plan.meaning.names import energised, is_water, valves
from steadfall.plan.model import ButtonCall, Call, Plan
from steadfall.plan.text.speak import speak
from steadfall.source import Mark
from steadfall.st.write.unit import origin

# What a cell may hold, in the order of the legend.
LEGEND = {
    "S": "shut at once, in the same scan, whatever its shortest opening",
    "F": "cooling ends: the finish steps in order, then idle",
    "L": "held until reset, and until the cause is gone",
    "C": "held until nothing calls",
    "A": "the highest stage that the cause allows, named after it",
    "P": "after power-up the circuit begins in this state",
}


@frozen
class Cause:
    """A row: its kind, what it says, and what it does to each circuit and valve."""

    kind: str
    name: str
    condition: str
    mark: Mark
    circuit: Callable[[str], str]
    valve: Callable[[str], str]


def matrix(plan: Plan) -> Sheet:
    """The whole matrix."""
    effects = [*plan.circuits, *valves(plan)]
    headings = (
        "kind",
        "cause",
        "condition",
        *(f"circuit {name}" for name in plan.circuits),
        *valves(plan),
        "plan",
    )
    rows = []
    for cause in causes(plan):
        cells = [cause.circuit(name) if name in plan.circuits else cause.valve(name) for name in effects]
        rows.append((cause.kind, cause.name, cause.condition, *cells, origin([cause.mark])))
    legend = tuple(f"{letter}: {meaning}" for letter, meaning in LEGEND.items())
    turned = tuple(
        f"{name}: stands open without signal; its output is on to shut it" for name in energised(plan)
    )
    return Sheet("cause and effect", headings, tuple(rows), (*legend, *turned))


def causes(plan: Plan) -> list[Cause]:
    """Every cause of the plan: trips, permissives, calls and demands, the end of a cool-down, power-up."""
    return [*_trips(plan), *_permissives(plan), *_calls(plan), *_done(plan), _power(plan)]


def _none(_: str) -> str:
    return ""


def _trips(plan: Plan) -> list[Cause]:
    def shut(valve: str) -> str:
        return "S L" if is_water(plan, valve) else ""

    return [
        Cause("trip", trip.name, speak(trip.when), trip.at.own, lambda _: "F L", shut) for trip in plan.trips
    ]


def _permissives(plan: Plan) -> list[Cause]:
    found = []
    for item in plan.permissives:
        cut = frozenset(item.valves)

        def shut(valve: str, cut: frozenset[str] = cut, everywhere: bool = item.all_water) -> str:
            return "S" if valve in cut or (everywhere and is_water(plan, valve)) else ""

        ends: Callable[[str], str] = (lambda _: "F") if item.all_water else _none
        found.append(
            Cause("permissive lost", item.name, f"not ({speak(item.needs)})", item.at.own, ends, shut)
        )
    return found


def _calls(plan: Plan) -> list[Cause]:
    found = []
    for item in plan.calls:
        here = frozenset(item.circuits)
        if isinstance(item, Call):
            pairs = [(item.allows, speak(item.when))]
        elif isinstance(item, ButtonCall):
            pairs = [(item.allows, f"{item.start} pressed, until {item.stop} is, or an S or F above")]
        else:
            pairs = [(stage, f"{item.of} at {level:g} % or more") for stage, level in item.thresholds.items()]
        for stage, condition in pairs:

            def allowed(circuit: str, here: frozenset[str] = here, stage: str = stage) -> str:
                known = stage in [one.name for one in plan.type_of(circuit).stages]
                return f"A {stage}" if circuit in here and known else ""

            found.append(Cause("call", stage, condition, item.at.own, allowed, _none))
    return found


def _done(plan: Plan) -> list[Cause]:
    if plan.done is None:
        return []
    condition = f"{speak(plan.done.when)}, while something calls"
    return [Cause("done", "the cool-down is done", condition, plan.done.at.own, lambda _: "F C", _none)]


def _power(plan: Plan) -> Cause:
    def begins(circuit: str) -> str:
        kind = plan.type_of(circuit)
        return f"P {kind.finish[0].name}" if kind.cold_start == "finish" and kind.finish else "P idle"

    return Cause("power-up", "power-up", "the first scan, without a call", plan.at.own, begins, _none)
